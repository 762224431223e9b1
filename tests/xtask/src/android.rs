//! `cargo xtask android-check`: the whole app type-checked for `aarch64-linux-android`.
//!
//! It needs no SDK: Debian's `rustc-web` brings a compiler and the library's source, from which the library for
//! Android is built once. C code is not compiled (a compiler that writes empty files stands in for a real one) and
//! nothing is linked, so this finds Rust that is only compiled for Android and packages that are desktop-only. It
//! says nothing about Kotlin, Gradle, the manifest or anything at run time.

use crate::shell::{Outcome, capture, command, on_path, root, run, target, write};
use crate::{node, setup};
use std::path::{Path, PathBuf};
use std::process::Command;

const TARGET: &str = "aarch64-linux-android";

/// `-?` asks which compiler it is, `-E` runs the preprocessor to find out its family; all else gives an empty object.
const STAND_IN: &str = r#"#!/bin/sh
# Stands in for a C compiler where nothing is linked.
for word in "$@"; do
    case "$word" in
        '-?') exit 1 ;;
        -E) exec gcc "$@" ;;
    esac
done
while [ $# -gt 0 ]; do
    if [ "$1" = -o ]; then : > "$2"; fi
    shift
done
"#;

/// The compiler and the library for Android in a folder outside the repository, one for each version of the package.
struct Kit {
    home: PathBuf,
}

/// Sets the kit up when it is missing, builds the screens, and checks the app.
pub(crate) fn check() -> Outcome {
    setup::for_building()?;
    let kit = Kit::ready()?;
    node::modules()?;
    run(&mut node::script("build"))?;
    println!("Checking the app for {TARGET}; the first time takes some minutes.");
    run(&mut kit.check())?;
    println!("The app type-checks for {TARGET}. Nothing was linked and no C was compiled.");
    Ok(())
}

impl Kit {
    fn ready() -> Outcome<Kit> {
        if !on_path("apt-get") {
            return Err("This check takes its compiler from Debian's package rustc-web, and there is no apt-get here.".into());
        }
        let kit = Kit { home: cache()?.join(version()?) };
        let stamp = kit.home.join("ready");
        if !stamp.exists() {
            println!(
                "Setting up the compiler for {TARGET} in {}: about 140 MB to fetch.",
                kit.home.display()
            );
            kit.fetch()?;
            kit.write_tools()?;
            kit.build_library()?;
            write(&stamp, "")?;
        }
        Ok(kit)
    }

    fn root(&self) -> PathBuf {
        self.home.join("root")
    }

    fn compiler(&self) -> PathBuf {
        self.home.join("rustc")
    }

    fn stand_in(&self) -> PathBuf {
        self.home.join("stand-in-cc")
    }

    fn fetch(&self) -> Outcome {
        let folder = self.home.join("packages");
        std::fs::create_dir_all(&folder)
            .map_err(|error| format!("Cannot make {}: {error}.", folder.display()))?;
        let packages = packages()?;
        let names: Vec<&str> = packages.iter().map(String::as_str).collect();
        run(command("apt-get", &["download", "--quiet=2"]).args(&names).current_dir(&folder))?;
        for file in files(&folder)? {
            run(command("dpkg", &["-x"]).arg(file).arg(self.root()))?;
        }
        std::fs::remove_dir_all(&folder)
            .map_err(|error| format!("Cannot remove {}: {error}.", folder.display()))
    }

    fn write_tools(&self) -> Outcome {
        let root = self.root();
        let libraries = format!("{0}/usr/lib/x86_64-linux-gnu:{0}/usr/lib", root.display());
        let compiler = format!(
            "#!/bin/sh\nLD_LIBRARY_PATH='{libraries}' exec '{}/usr/bin/rustc' \"$@\"\n",
            root.display()
        );
        write(&self.compiler(), &compiler)?;
        write(&self.stand_in(), STAND_IN)?;
        run(command("chmod", &["+x"]).arg(self.compiler()).arg(self.stand_in()))
    }

    /// Builds the library once by an empty crate, and puts it where the compiler looks for it.
    fn build_library(&self) -> Outcome {
        let empty = self.home.join("empty");
        write(
            &empty.join("Cargo.toml"),
            "[package]\nname = \"empty\"\nversion = \"0.0.0\"\nedition = \"2021\"\n[workspace]\n",
        )?;
        write(&empty.join("src/lib.rs"), "//! Nothing: only the library below it matters.\n")?;
        let mut build = command("cargo", &["-Zbuild-std=std,panic_abort", "build", "--target", TARGET]);
        build.current_dir(&empty).env("RUSTC", self.compiler()).env("RUSTC_BOOTSTRAP", "1");
        run(build.env("CARGO_PROFILE_DEV_DEBUG", "0").env("CARGO_TARGET_DIR", empty.join("target")))?;
        let library = self.root().join("usr/lib/rustlib").join(TARGET).join("lib");
        std::fs::create_dir_all(&library)
            .map_err(|error| format!("Cannot make {}: {error}.", library.display()))?;
        for file in files(&empty.join("target").join(TARGET).join("debug/deps"))? {
            let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if name.ends_with(".rlib") && !name.starts_with("libempty") {
                std::fs::copy(&file, library.join(&name))
                    .map_err(|error| format!("Cannot copy {name}: {error}."))?;
            }
        }
        std::fs::remove_dir_all(&empty)
            .map_err(|error| format!("Cannot remove {}: {error}.", empty.display()))
    }

    fn check(&self) -> Command {
        let mut check =
            command("cargo", &["check", "--package", "drylay-desktop", "--lib", "--target", TARGET]);
        check.env("RUSTC", self.compiler()).env("CARGO_TARGET_DIR", target().join("android"));
        check.env("AR_aarch64_linux_android", "/usr/bin/ar");
        check
            .env("CC_aarch64_linux_android", self.stand_in())
            .env("CXX_aarch64_linux_android", self.stand_in());
        check.current_dir(root());
        check
    }
}

/// The packages of the compiler; two carry their version in their name.
fn packages() -> Outcome<Vec<String>> {
    let known = ["rustc-web", "rust-web-src", "libstd-rust-web-dev"];
    let mut all: Vec<String> = known.iter().map(|name| (*name).to_owned()).collect();
    let library = dependency("libstd-rust-web-dev", "libstd-rust-web-1")?;
    all.push(dependency(&library, "libllvm")?);
    all.push(library);
    Ok(all)
}

fn dependency(package: &str, start: &str) -> Outcome<String> {
    let said = capture(&mut command("apt-cache", &["depends", package]))?;
    let found = said.split_whitespace().find(|word| word.starts_with(start));
    found
        .map(str::to_owned)
        .ok_or_else(|| format!("Debian's {package} depends on no {start}…; this check must be adapted."))
}

fn version() -> Outcome<String> {
    let said =
        capture(&mut command("apt-cache", &["show", "--no-all-versions", "rustc-web"])).map_err(|_| {
            "apt knows no package rustc-web, which this check needs. Run `apt-get update`; Debian 12 has it."
                .to_owned()
        })?;
    let version = said.lines().find_map(|line| line.strip_prefix("Version: "));
    version
        .map(|it| it.replace(['+', '~', ':'], "_"))
        .ok_or_else(|| "apt does not say which version of rustc-web it has.".into())
}

fn cache() -> Outcome<PathBuf> {
    let named = std::env::var_os("XDG_CACHE_HOME").map(PathBuf::from);
    let usual = std::env::var_os("HOME").map(|home| Path::new(&home).join(".cache"));
    let folder = named.or(usual).ok_or("Neither XDG_CACHE_HOME nor HOME says where to keep the compiler.")?;
    Ok(folder.join("drylay-android"))
}

fn files(folder: &Path) -> Outcome<Vec<PathBuf>> {
    let entries =
        std::fs::read_dir(folder).map_err(|error| format!("Cannot list {}: {error}.", folder.display()))?;
    let mut files: Vec<PathBuf> = entries.filter_map(Result::ok).map(|entry| entry.path()).collect();
    files.sort();
    Ok(files)
}
