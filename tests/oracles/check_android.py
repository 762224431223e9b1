"""The Android project, read by parsers: XML by Python's own, Kotlin by tree-sitter's grammar, icons by their headers.

No SDK is needed and nothing is built. What is held together: permissions and the code that asks for them, backups and
the device's key, the scheme of invitations in manifest, Kotlin, Rust and the desktop entry, kinds of files, commands of
the Kotlin half and those who call them, resources and those who name them.

Sources: protection levels from the reference of android.Manifest.permission; domains of backup rules from "Back up user
data with Auto Backup" (developer.android.com); sizes of launcher icons, 48 dp and 108 dp for layers, from "Adaptive icons".
"""

import json
import re
import struct
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import tree_sitter
import tree_sitter_kotlin

ROOT = Path(__file__).resolve().parents[2]
PROJECT = ROOT / "src-tauri/gen/android"
MAIN = PROJECT / "app/src/main"
ANDROID = "{http://schemas.android.com/apk/res/android}"
PERMISSION = "android.permission."

# Given at install (protection level normal); every other permission has to be asked for by the code.
AT_INSTALL = {
    "INTERNET",
    "ACCESS_NETWORK_STATE",
    "CHANGE_NETWORK_STATE",
    "ACCESS_WIFI_STATE",
    "CHANGE_WIFI_MULTICAST_STATE",
    "VIBRATE",
    "RECEIVE_BOOT_COMPLETED",
}
# Everything that a backup knows; the store with the device's key lies in one of them.
DOMAINS = {
    "root", "file", "database", "sharedpref", "external",
    "device_root", "device_file", "device_database", "device_sharedpref",
}
# Pixels of a dp at each density.
DENSITIES = {"mdpi": 1.0, "hdpi": 1.5, "xhdpi": 2.0, "xxhdpi": 3.0, "xxxhdpi": 4.0}
LAYERS = {"": 48, "_round": 48, "_background": 108, "_foreground": 108, "_monochrome": 108}

KOTLIN = tree_sitter.Parser(tree_sitter.Language(tree_sitter_kotlin.language()))


class Kotlin:
    """A file of Kotlin as a tree."""

    def __init__(self, name: str, text: str):
        self.name, self.text = name, text
        self.root = KOTLIN.parse(text.encode()).root_node

    def nodes(self, kind: str):
        waiting = [self.root]
        while waiting:
            node = waiting.pop()
            if node.type == kind:
                yield node
            waiting.extend(node.children)

    def faults(self) -> list[str]:
        found = [node for node in self.nodes("ERROR")]
        found += [node for node in self.walk() if node.is_missing]
        return [f"{self.name}:{node.start_point[0] + 1}: this is no Kotlin" for node in found]

    def walk(self):
        waiting = [self.root]
        while waiting:
            node = waiting.pop()
            yield node
            waiting.extend(node.children)

    def strings(self) -> set[str]:
        return {node.text.decode().strip('"') for node in self.nodes("string_literal")}

    def commands(self) -> set[str]:
        """Functions that bear the annotation by which the window may call them."""
        found = set()
        for node in self.nodes("function_declaration"):
            head = node.text.decode().split("{")[0]
            name = next(child for child in node.children if child.type in ("identifier", "simple_identifier"))
            if re.search(r"@Command\b", head):
                found.add(name.text.decode())
        return found


def kotlin_files() -> list[Kotlin]:
    files = [path for path in PROJECT.rglob("*") if path.suffix in (".kt", ".kts") and "build" not in path.relative_to(PROJECT).parts[:-1]]
    return [Kotlin(str(path.relative_to(ROOT)), path.read_text()) for path in sorted(files)]


def asked_for(plugin: str) -> tuple[set[str], list[str]]:
    """Permissions that the plugin names with an alias, and those of them that it never requests."""
    named = re.findall(r"Permission\(strings = \[([^\]]*)\], alias = \"(\w+)\"\)", plugin)
    permissions, faults = set(), []
    for strings, alias in named:
        permissions |= set(re.findall(r"Manifest\.permission\.(\w+)", strings))
        if not re.search(rf'requestPermissionForAlias\("{alias}"', plugin):
            faults.append(f"PhonePlugin names the permission {alias} and never asks for it")
    return permissions, faults


def check_permissions(manifest: ElementTree.Element, plugin: str) -> list[str]:
    wanted = {use.get(f"{ANDROID}name", "").removeprefix(PERMISSION) for use in manifest.iter("uses-permission")}
    asked, faults = asked_for(plugin)
    faults += [f"the manifest wants {name}, which is neither given at install nor asked for" for name in sorted(wanted - AT_INSTALL - asked)]
    faults += [f"PhonePlugin asks for {name}, which the manifest does not want" for name in sorted(asked - wanted)]
    return faults


def check_backups(manifest: ElementTree.Element, rules: ElementTree.Element, older: ElementTree.Element) -> list[str]:
    application = manifest.find("application")
    faults = []
    if application.get(f"{ANDROID}allowBackup") != "false":
        faults.append("backups are allowed: the device's key would be in them")
    for name, value in (("dataExtractionRules", "@xml/data_extraction_rules"), ("fullBackupContent", "@xml/backup_rules")):
        if application.get(f"{ANDROID}{name}") != value:
            faults.append(f"the manifest does not name {value}")
    for place, parent in [(kind, rules.find(kind)) for kind in ("cloud-backup", "device-transfer")] + [("older backups", older)]:
        if parent is None:
            faults.append(f"nothing is said of {place}")
            continue
        left_out = {rule.get("domain") for rule in parent.findall("exclude") if rule.get("path") == "."}
        faults += [f"{place} takes the domain {domain} along" for domain in sorted(DOMAINS - left_out)]
        faults += [f"{place} includes {rule.get('domain')}" for rule in parent.findall("include")]
    return faults


def check_lent(paths: ElementTree.Element) -> list[str]:
    """Only folders of their own are lent to other apps: never the one that the store lies in."""
    faults = []
    for entry in paths:
        path = entry.get("path", "")
        if entry.tag not in ("cache-path", "external-files-path") or path.strip("./") == "":
            faults.append(f"file_paths.xml lends {entry.tag} {path!r}")
    return faults


def check_scheme(manifest: ElementTree.Element, told: dict[str, str]) -> list[str]:
    schemes = {data.get(f"{ANDROID}scheme") for data in manifest.iter("data")} - {None, "content"}
    if len(schemes) != 1:
        return [f"the manifest names the schemes {sorted(schemes)} and not one"]
    wanted = schemes.pop()
    return [f"{place} has the scheme {scheme!r}, the manifest {wanted!r}" for place, scheme in told.items() if scheme != wanted]


def check_sent(manifest: ElementTree.Element, plugin: str) -> list[str]:
    """What the manifest lets other apps send is dealt with by the plugin, and the other way round."""
    faults = []
    wanted = {action.get(f"{ANDROID}name", "").rpartition(".")[2] for action in manifest.iter("action")} & {"VIEW", "SEND", "SEND_MULTIPLE"}
    heard = set(re.findall(r"Intent\.ACTION_(\w+) ->", plugin))
    faults += [f"the manifest takes {name}, which PhonePlugin does not look at" for name in sorted(wanted - heard)]
    faults += [f"PhonePlugin looks at {name}, which the manifest does not take" for name in sorted(heard - wanted)]
    kinds = {data.get(f"{ANDROID}mimeType") for data in manifest.iter("data")}
    for kind, word in (("image/*", '"image/"'), ("text/plain", "EXTRA_TEXT")):
        if (kind in kinds) != (word in plugin):
            faults.append(f"the manifest and PhonePlugin do not agree on {kind}")
    return faults


def check_features(manifest: ElementTree.Element, near: str) -> list[str]:
    """A device without Wi-Fi may install the app, so its manager may be missing."""
    required = {use.get(f"{ANDROID}name"): use.get(f"{ANDROID}required") for use in manifest.iter("uses-feature")}
    if required.get("android.hardware.wifi") == "false" and not re.search(r"WifiManager::class\.java\)\s*\?\.", near):
        return ["Near.kt takes Wi-Fi for granted, which the manifest does not require"]
    return []


def constant(path: str, pattern: str) -> str:
    found = re.search(pattern, (ROOT / path).read_text())
    return found.group(1) if found else ""


def check_components(manifest: ElementTree.Element) -> list[str]:
    """Only the window may be started by other apps."""
    faults = []
    for part in manifest.find("application"):
        name, exported = part.get(f"{ANDROID}name"), part.get(f"{ANDROID}exported")
        if part.tag in ("activity", "receiver", "provider", "service") and exported != ("true" if part.tag == "activity" else "false"):
            faults.append(f"{name} is exported={exported}")
    return faults


def check_kinds(manifest: ElementTree.Element) -> list[str]:
    desktop = ElementTree.parse(ROOT / "src-tauri/linux/drylay-mime.xml").getroot()
    known = {kind.get("type") for kind in desktop.iter("{http://www.freedesktop.org/standards/shared-mime-info}mime-type")}
    entry = (ROOT / "src-tauri/linux/drylay.desktop").read_text()
    listed = set(re.search(r"MimeType=(.*)", entry).group(1).strip(";").split(";"))
    own = {kind for kind in listed if kind.startswith("application/vnd.drylay")}
    faults = [] if own == known else [f"the desktop entry opens {sorted(own)}, its kinds are {sorted(known)}"]
    for intent in manifest.iter("intent-filter"):
        taken = {data.get(f"{ANDROID}mimeType") for data in intent.iter("data")} - {None}
        if taken and not known <= taken and taken not in ({"image/*"}, {"text/plain"}):
            faults.append(f"an intent filter takes {sorted(taken)} and not all of {sorted(known)}")
    given = constant("ui/src/ipc/window.ts", r'const handOverKind = "([^"]+)"')
    if given not in known:
        faults.append(f"the screens hand over files of the kind {given!r}")
    return faults


def check_commands(plugin: Kotlin) -> list[str]:
    rust = (ROOT / "src-tauri/src/phone.rs").read_text()
    allowed = set(re.findall(r'"(\w+)"', re.search(r"const ALLOWED[^=]*=([^;]*);", rust).group(1)))
    called = set(re.findall(r'(?:run_mobile_plugin(?:_async)?(?:::<.*?>)?|self\.ask)\(\s*"(\w+)"', rust)) | allowed
    screens = set(re.findall(r'(?:ask|allowed)(?:<[^(]*>)?\((?:asking \? )?"(\w+)"(?: : "(\w+)")?', (ROOT / "ui/src/ipc/window.ts").read_text()))
    named = {word for pair in screens for word in pair if word}
    faults = [f"src-tauri calls {name}, which PhonePlugin does not have" for name in sorted(called - plugin.commands())]
    faults += [f"the screens ask the phone for {name}, which src-tauri does not allow" for name in sorted(named - allowed)]
    faults += [f"PhonePlugin has {name}, which src-tauri never calls" for name in sorted(plugin.commands() - called)]
    faults += [f"the screens may ask the phone for {name}: what is locked is the core's" for name in sorted(allowed & {"lockAway", "unlock"})]
    heard = set(re.findall(r'Some\("(\w+)"\) =>', rust))
    told = set(re.findall(r'tell\("(\w+)"\)', plugin.text)) | set(re.findall(r'tell\("(\w+)"\)', (MAIN / "java/app/drylay/field/Near.kt").read_text()))
    faults += [f"the phone tells {name}, which src-tauri does not hear" for name in sorted(told - heard)]
    return faults


def check_words(kotlin: list[Kotlin]) -> list[str]:
    """Why something was not done is a word that src-tauri puts into the language of the device."""
    rust = (ROOT / "src-tauri/src/phone.rs").read_text()
    known = set(re.findall(r'\("(\w+)", "phone\.\w+"\)', re.search(r"const REFUSALS[^=]*=([^;]*);", rust).group(1)))
    given = {word for file in kotlin for word in re.findall(r'(?:\bRefused|invoke\.reject)\("([^"]*)"', file.text)}
    faults = [f"the Kotlin half refuses with {word!r}, which src-tauri has no message for" for word in sorted(given - known)]
    return faults + [f"src-tauri has a message for {word!r}, which the Kotlin half never gives" for word in sorted(known - given)]


# What may change about a phone while a window is open, from the reference of android:configChanges (as of API 36), without
# the country and network of a SIM card, which have no part in what the screens show, and what concerns fonts of the system
# only where its window does.
CHANGES = {
    "colorMode", "density", "fontScale", "fontWeightAdjustment", "keyboard", "keyboardHidden", "layoutDirection", "locale",
    "navigation", "orientation", "screenLayout", "screenSize", "smallestScreenSize", "touchscreen", "uiMode",
}


def check_window(manifest: ElementTree.Element, plugin: str) -> list[str]:
    """The window is not made anew in the middle of an entry; and where it is after all, nobody holds on to the old one."""
    window = manifest.find("application/activity")
    kept = set(window.get(f"{ANDROID}configChanges", "").split("|"))
    faults = [f"the window is made anew when {name} changes" for name in sorted(CHANGES - kept)]
    if re.search(r"va[lr] activity\b", plugin):
        faults.append("PhonePlugin keeps the activity that it was made with")
    return faults


def check_names(kotlin: list[Kotlin]) -> list[str]:
    config = json.loads((ROOT / "src-tauri/tauri.conf.json").read_text())
    gradle = next(file for file in kotlin if file.name.endswith("app/build.gradle.kts")).text
    identifier = config["identifier"]
    faults = [f"build.gradle.kts: {key} is not {identifier}" for key in ("namespace", "applicationId") if f'{key} = "{identifier}"' not in gradle]
    rust = constant("src-tauri/src/phone.rs", r'const PACKAGE: &str = "([^"]+)"')
    if rust != identifier:
        faults.append(f"phone.rs looks for the Kotlin half in {rust}")
    for file in kotlin:
        if "/src/main/java/" in file.name and "buildSrc" not in file.name and f"package {identifier}\n" not in file.text:
            faults.append(f"{file.name} is not of the package {identifier}")
    strings = ElementTree.parse(MAIN / "res/values/strings.xml").getroot()
    if strings.findtext("string[@name='app_name']") != config["productName"]:
        faults.append("strings.xml does not bear the product's name")
    return faults


def check_languages() -> list[str]:
    names = {}
    for path in sorted(MAIN.glob("res/values*/strings.xml")):
        names[path.parent.name] = {text.get("name") for text in ElementTree.parse(path).getroot()}
    return [f"{folder}/strings.xml has other names than values/strings.xml" for folder, found in names.items() if found != names["values"]]


def check_resources(kotlin: list[Kotlin]) -> list[str]:
    there = {(path.parent.name.split("-")[0], path.name.split(".")[0]) for path in MAIN.glob("res/*/*")}
    for path in MAIN.glob("res/values*/*.xml"):
        there |= {(entry.tag, entry.get("name")) for entry in ElementTree.parse(path).getroot()}
    texts = [path.read_text() for path in [*MAIN.glob("res/**/*.xml"), MAIN / "AndroidManifest.xml"]]
    used = {pair for text in texts for pair in re.findall(r"@(xml|mipmap|drawable|string|color|style)/([\w.]+)", text)}
    used |= {pair for file in kotlin for pair in re.findall(r"\bR\.(drawable|string|color|xml|mipmap)\.(\w+)", file.text) if "android.R." not in file.text}
    return [f"@{kind}/{name} is named and not there" for kind, name in sorted(used - there)]


def check_icons() -> list[str]:
    faults = []
    for density, scale in DENSITIES.items():
        for layer, size in LAYERS.items():
            path = MAIN / f"res/mipmap-{density}/ic_launcher{layer}.png"
            head = path.read_bytes()[:24] if path.exists() else b""
            found = struct.unpack(">II", head[16:24]) if head[:8] == b"\x89PNG\r\n\x1a\n" else None
            # The command-line tool draws hdpi's whole icon a pixel larger.
            if found is None or any(abs(side - size * scale) > 1 for side in found):
                faults.append(f"{path.relative_to(ROOT)}: {found} where {size * scale:g} pixels belong")
    return faults


def same_faults_are_found(manifest_text: str, plugin: str) -> int:
    """Each check complains of what it is there for; answers how many faults were planted."""
    broken = [
        (manifest_text.replace("<uses-feature", '<uses-permission android:name="android.permission.CAMERA" /><uses-feature', 1), check_permissions, "CAMERA"),
        (manifest_text.replace('allowBackup="false"', 'allowBackup="true"'), None, "key"),
        (manifest_text.replace('android:scheme="drylay"', 'android:scheme="other"'), None, "scheme"),
        (manifest_text.replace('android:exported="false"', 'android:exported="true"', 1), check_components, "exported"),
    ]
    rules = ElementTree.parse(MAIN / "res/xml/data_extraction_rules.xml").getroot()
    older = ElementTree.parse(MAIN / "res/xml/backup_rules.xml").getroot()
    for number, (text, _, word) in enumerate(broken):
        assert text != manifest_text, f"case {number} changes nothing"
        manifest = ElementTree.fromstring(text)
        found = check_permissions(manifest, plugin) + check_backups(manifest, rules, older) + check_components(manifest)
        found += check_scheme(manifest, {"core/sync": "drylay"})
        assert len(found) == 1 and word in found[0], (word, found)
    assert check_permissions(ElementTree.fromstring(manifest_text), plugin.replace('requestPermissionForAlias("nearby"', "other(")), "an alias nobody asks for"
    rules.find("device-transfer").remove(rules.find("device-transfer")[0])
    assert check_backups(ElementTree.fromstring(manifest_text), rules, older), "a domain that is taken along"
    assert check_lent(ElementTree.fromstring('<paths><files-path name="all" path="." /></paths>')), "the store, lent"
    assert Kotlin("broken", "class A { fun b( }").faults(), "broken Kotlin"
    whole = ElementTree.fromstring(manifest_text)
    assert check_sent(ElementTree.fromstring(manifest_text.replace("action.SEND_MULTIPLE", "action.EDIT")), plugin), "an action nobody takes"
    assert check_sent(whole, plugin.replace("EXTRA_TEXT", "EXTRA_TITLE")), "words that nobody reads"
    assert check_features(whole, "getSystemService(WifiManager::class.java).createMulticastLock(tag)"), "Wi-Fi taken for granted"
    assert check_window(ElementTree.fromstring(manifest_text.replace("|navigation", "")), plugin), "a window made anew"
    assert check_window(whole, plugin.replace("activity: Activity", "private val activity: Activity")), "a window that is gone"
    unsaid = check_words([Kotlin("more", plugin + 'fun f() { throw Refused("other") }')])
    assert any("'other'" in fault for fault in unsaid), "a word without a message"
    return len(broken) + 10


def main() -> None:
    found = []
    for path in [*MAIN.rglob("*.xml"), ROOT / "src-tauri/linux/drylay-mime.xml"]:
        ElementTree.parse(path)
    kotlin = kotlin_files()
    assert len(kotlin) > 8, "the Kotlin was found"
    for file in kotlin:
        found += file.faults()
    manifest_text = (MAIN / "AndroidManifest.xml").read_text()
    manifest = ElementTree.fromstring(manifest_text)
    plugin = next(file for file in kotlin if file.name.endswith("PhonePlugin.kt"))
    rules = ElementTree.parse(MAIN / "res/xml/data_extraction_rules.xml").getroot()
    older = ElementTree.parse(MAIN / "res/xml/backup_rules.xml").getroot()
    schemes = {
        "core/sync": constant("core/sync/src/invitation.rs", r'pub const SCHEME: &str = "([^"]+)"'),
        "src-tauri": constant("src-tauri/src/arrivals.rs", r'const SCHEME: &str = "([^"]+)"'),
        "PhonePlugin": constant(plugin.name, r'const val LINK_SCHEME = "([^"]+)"'),
        "the desktop entry": constant("src-tauri/linux/drylay.desktop", r"x-scheme-handler/(\w+)"),
    }
    found += check_permissions(manifest, plugin.text)
    found += check_backups(manifest, rules, older)
    found += check_lent(ElementTree.parse(MAIN / "res/xml/file_paths.xml").getroot())
    found += check_scheme(manifest, schemes)
    found += check_components(manifest)
    found += check_kinds(manifest)
    found += check_sent(manifest, plugin.text)
    found += check_features(manifest, next(file for file in kotlin if file.name.endswith("Near.kt")).text)
    found += check_window(manifest, plugin.text)
    found += check_words(kotlin)
    found += check_commands(plugin)
    found += check_names(kotlin)
    found += check_languages()
    found += check_resources(kotlin)
    found += check_icons()
    if found:
        sys.exit("The Android project does not hold together:\n" + "\n".join(found))
    planted = same_faults_are_found(manifest_text, plugin.text)
    xml = len(list(MAIN.rglob("*.xml")))
    print(f"The Android project holds together: {len(kotlin)} files of Kotlin, {xml} of XML, {planted} planted faults found.")
    print(f"{len(kotlin) + xml + planted} passed, 0 failed")


if __name__ == "__main__":
    main()
