//! A compiler for processors and systems that the installed one has no library for.
//!
//! Debian's `rustc-web` brings a compiler and the library's source, from which the library for another target is built
//! once. Both lie in a folder outside the repository, one for each version of the package.

use crate::shell::{Outcome, capture, command, on_path, run, write};
use std::path::{Path, PathBuf};

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

/// The compiler and the library for one target in a folder outside the repository, one for each version of the package.
pub(crate) struct Kit {
    home: PathBuf,
    target: &'static str,
}

impl Kit {
    /// Fetches the compiler and builds the library where they are missing.
    pub(crate) fn ready(target: &'static str) -> Outcome<Kit> {
        if !on_path("apt-get") {
            return Err("This check takes its compiler from Debian's package rustc-web, and there is no apt-get here.".into());
        }
        let kit = Kit { home: cache()?.join(version()?), target };
        let stamp = kit.home.join("compiler-ready");
        if !stamp.exists() {
            println!(
                "Setting up a compiler for other processors in {}: about 140 MB to fetch.",
                kit.home.display()
            );
            kit.fetch()?;
            kit.write_tools()?;
            write(&stamp, "")?;
        }
        let built = kit.home.join(format!("library-{target}"));
        if !built.exists() {
            println!("Building the library for {target}, once.");
            kit.build_library()?;
            write(&built, "")?;
        }
        Ok(kit)
    }

    fn root(&self) -> PathBuf {
        self.home.join("root")
    }

    /// The compiler.
    pub(crate) fn compiler(&self) -> PathBuf {
        self.home.join("rustc")
    }

    /// What stands in for a C compiler where nothing is linked.
    pub(crate) fn stand_in(&self) -> PathBuf {
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
        let mut build = command("cargo", &["-Zbuild-std=std,panic_abort", "build", "--target", self.target]);
        build.current_dir(&empty).env("RUSTC", self.compiler()).env("RUSTC_BOOTSTRAP", "1");
        run(build.env("CARGO_PROFILE_DEV_DEBUG", "0").env("CARGO_TARGET_DIR", empty.join("target")))?;
        let library = self.root().join("usr/lib/rustlib").join(self.target).join("lib");
        std::fs::create_dir_all(&library)
            .map_err(|error| format!("Cannot make {}: {error}.", library.display()))?;
        for file in files(&empty.join("target").join(self.target).join("debug/deps"))? {
            let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if name.ends_with(".rlib") && !name.starts_with("libempty") {
                std::fs::copy(&file, library.join(&name))
                    .map_err(|error| format!("Cannot copy {name}: {error}."))?;
            }
        }
        std::fs::remove_dir_all(&empty)
            .map_err(|error| format!("Cannot remove {}: {error}.", empty.display()))
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
