// Whether this device is used with gloves on: then everything that is touched is larger. A matter of the device.
const key = "drylay gloves";

function stored(): boolean {
  try {
    return localStorage.getItem(key) === "on";
  } catch {
    return false;
  }
}

class Gloves {
  on = $state(stored());

  wear(on: boolean): void {
    this.on = on;
    try {
      if (on) localStorage.setItem(key, "on");
      else localStorage.removeItem(key);
    } catch {
      // Without storage the choice lasts as long as the window.
    }
    this.apply();
  }

  apply(): void {
    const root = document.documentElement;
    if (this.on) root.dataset["gloves"] = "on";
    else delete root.dataset["gloves"];
  }
}

export const gloves = new Gloves();
