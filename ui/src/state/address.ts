// Places of the app as addresses, there and back.

export type Place =
  | { screen: "jobs" }
  | { screen: "device" }
  | { screen: "crew" }
  | { screen: "job"; job: string }
  | { screen: "room"; job: string; room: string }
  | { screen: "floor" | "base" | "heights"; job: string; room: string }
  | { screen: "plan"; job: string; area: string | null; piece: string | null }
  | { screen: "buy"; job: string }
  | { screen: "quote"; job: string }
  | { screen: "papers"; job: string }
  | { screen: "work"; job: string; area: string | null; piece: string | null };

export function parsePlace(hash: string): Place {
  const parts = hash.replace(/^#\/?/, "").split("/").map(decode);
  const [first, job, what, id, part, piece] = parts;
  if (first === "device" || first === "crew") return { screen: first };
  if (first !== "job" || !job) return { screen: "jobs" };
  if (what === "room" && id && (part === "floor" || part === "base" || part === "heights")) return { screen: part, job, room: id };
  if (what === "room" && id) return { screen: "room", job, room: id };
  if (what === "plan" || what === "work") return { screen: what, job, area: id || null, piece: (id && piece) || null };
  if (what === "buy" || what === "quote" || what === "papers") return { screen: what, job };
  return { screen: "job", job };
}

export function writePlace(place: Place): string {
  const parts = partsOf(place).map(encodeURIComponent);
  return `#/${parts.join("/")}`;
}

function partsOf(place: Place): string[] {
  switch (place.screen) {
    case "jobs":
      return [];
    case "device":
    case "crew":
      return [place.screen];
    case "job":
      return ["job", place.job];
    case "room":
      return ["job", place.job, "room", place.room];
    case "floor":
    case "base":
    case "heights":
      return ["job", place.job, "room", place.room, place.screen];
    case "buy":
    case "quote":
    case "papers":
      return ["job", place.job, place.screen];
    case "plan":
    case "work":
      return ["job", place.job, place.screen, ...(place.area ? [place.area] : []), ...(place.area && place.piece ? ["piece", place.piece] : [])];
  }
}

/** Half of a character that takes two has no address of its own: it becomes the sign for what cannot be read. */
function decode(part: string): string {
  const whole = part.replace(/[\ud800-\udfff]/gu, "\ufffd");
  try {
    return decodeURIComponent(whole);
  } catch {
    return whole;
  }
}
