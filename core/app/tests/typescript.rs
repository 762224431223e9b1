//! Writes the typed map of commands for the screens; `cargo xtask test` holds it against what is committed.

use drylay_app::table::COMMANDS;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::Path;

#[test]
fn the_map_of_commands_is_written() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../ui/src/ipc/bindings");
    let mut names = BTreeSet::new();
    let mut map = String::new();
    for command in COMMANDS {
        let (ask, answer) = (command.types)();
        writeln!(map, "  \"{}\": [{ask}, {answer}];", command.name).expect("a string");
        names.extend([ask, answer]);
    }
    let mut text =
        String::from("// Written by the tests of core/app from its command table. Do not edit.\n\n");
    for name in &names {
        writeln!(text, "import type {{ {name} }} from \"./{name}\";").expect("a string");
    }
    write!(
        text,
        "\n/** What each command is given and what it answers. */\nexport interface Commands {{\n{map}}}\n"
    )
    .expect("a string");
    std::fs::create_dir_all(&folder).expect("a folder of the repository");
    let path = folder.join("commands.ts");
    if std::fs::read_to_string(&path).ok().as_deref() != Some(&text) {
        std::fs::write(&path, &text).expect("the folder can be written");
    }
    assert!(names.len() > 20, "the table was read");
}
