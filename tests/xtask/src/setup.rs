//! Installing what is missing with apt: only that, and never without saying so.

use crate::shell::{Outcome, capture, command, on_path, run};
use crate::{node, oracles};
use std::sync::atomic::{AtomicBool, Ordering};

/// A need that a Debian package meets.
struct Need {
    what_for: &'static str,
    packages: &'static [&'static str],
}

const BUILD: Need = Need {
    what_for: "building the window",
    packages: &["build-essential", "pkg-config", "libwebkit2gtk-4.1-dev"],
};
const SCREEN: Need = Need {
    what_for: "driving the app on a screen that is not there",
    packages: &["xvfb", "webkit2gtk-driver", "fonts-noto-core", "dbus-x11"],
};
const NETWORKS: Need =
    Need { what_for: "networks of their own for devices of a crew", packages: &["iproute2"] };
const KEYRING: Need =
    Need { what_for: "a keyring for the tests of keys", packages: &["gnome-keyring", "dbus-daemon"] };
const PROCESSOR: Need = Need {
    what_for: "another processor: its C compiler, and an emulator",
    packages: &["gcc-aarch64-linux-gnu", "libc6-dev-arm64-cross", "qemu-user"],
};
const BROWSER: Need = Need { what_for: "the tests of the screens", packages: &["chromium"] };
const PYTHON: Need =
    Need { what_for: "the oracles' virtual environment", packages: &["python3", "python3-venv"] };

static UPDATED: AtomicBool = AtomicBool::new(false);

/// Everything the whole test run needs.
pub(crate) fn everything() -> Outcome {
    node::require()?;
    install(&[&BUILD, &SCREEN, &BROWSER, &NETWORKS, &KEYRING])?;
    node::modules()?;
    oracles::environment().map(|_| ())
}

/// What building the window needs.
pub(crate) fn for_building() -> Outcome {
    install(&[&BUILD])
}

/// What building for another processor and running it here need.
pub(crate) fn for_another_processor() -> Outcome {
    install(&[&PROCESSOR])
}

/// What running the window without a screen needs.
pub(crate) fn for_driving() -> Outcome {
    install(&[&BUILD, &SCREEN])
}

/// What the tests of the screens need.
pub(crate) fn for_browser() -> Outcome {
    node::modules()?;
    install(&[&BROWSER])
}

/// What networks of their own for devices of a crew need.
pub(crate) fn for_networks() -> Outcome {
    install(&[&NETWORKS])
}

/// Python's own virtual environments; Debian packs them apart.
pub(crate) fn for_python() -> Outcome {
    let complete = capture(&mut command("python3", &["-c", "import venv, ensurepip"])).is_ok();
    if complete { Ok(()) } else { install(&[&PYTHON]) }
}

fn install(needs: &[&Need]) -> Outcome {
    if !on_path("dpkg") {
        let all: Vec<&str> = needs.iter().flat_map(|need| need.packages.iter().copied()).collect();
        println!("This system has no dpkg; what Debian calls {} must be there already.", all.join(", "));
        return Ok(());
    }
    for need in needs {
        let missing: Vec<&str> = need.packages.iter().copied().filter(|name| !installed(name)).collect();
        if !missing.is_empty() {
            println!("For {}, apt installs: {}", need.what_for, missing.join(", "));
            install_packages(&missing)?;
        }
    }
    Ok(())
}

fn installed(package: &str) -> bool {
    let asked = capture(&mut command("dpkg-query", &["-W", "-f", "${db:Status-Status}", package]));
    asked.is_ok_and(|status| status.trim() == "installed")
}

fn install_packages(packages: &[&str]) -> Outcome {
    if !UPDATED.swap(true, Ordering::Relaxed) {
        apt(&["update", "--quiet=2"])?;
    }
    let mut words = vec!["install", "--yes", "--quiet=2", "--no-install-recommends"];
    words.extend(packages);
    apt(&words)
}

fn apt(words: &[&str]) -> Outcome {
    let root = capture(&mut command("id", &["-u"]))?.trim() == "0";
    let mut line: Vec<&str> = if root { vec![] } else { vec!["sudo"] };
    line.extend(["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]);
    line.extend(words);
    if !root && !on_path("sudo") {
        let rest = line[1..].join(" ");
        return Err(format!("Neither root nor sudo here. Have somebody run: {rest}\nThen start this again."));
    }
    let mut call = command(line[0], &line[1..]);
    if !root {
        call.stdin(std::process::Stdio::inherit());
    }
    run(&mut call)
}
