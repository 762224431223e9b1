//! Readers of text: lengths, job sheets, lists, what people type.

use drylay_app::answers::demo;
use drylay_app::{books, outside};
use drylay_document::sheet::{Compound, Demands, Fraction, Quote, Sheet, Supply, Underlay, days};
use drylay_document::{Decimal, DocumentId, TypedLength};
use drylay_geometry::length::BareUnit;
use drylay_geometry::{Length, Notation};
use drylay_store::FileHash;
use drylay_sync::{Crew, DeviceName, Invitation, PublicKey, SecretKey};

use super::Target;

pub(super) fn targets() -> Vec<Target> {
    vec![
        Target {
            name: "length",
            about: "lengths in the trade's notation",
            seeds: lengths,
            words: &["'", "\"", "ft", "in", "mm", "cm", "m", "/", "-", "–", "½", "′", "″", ".", ",", " 1/64"],
            mend: None,
            memory: 1 << 20,
            runs: 2000,
            look: length,
        },
        Target {
            name: "sheet",
            about: "job sheets",
            seeds: sheets,
            words: SHEET_WORDS,
            mend: None,
            memory: 16 << 20,
            runs: 150,
            look: sheet,
        },
        Target {
            name: "sheet-parts",
            about: "parts of a sheet as documents keep them",
            seeds: parts,
            words: SHEET_WORDS,
            mend: None,
            memory: 4 << 20,
            runs: 1000,
            look: part,
        },
        Target {
            name: "words",
            about: "days, fractions, decimals, keys and names of files",
            seeds: words,
            words: &["-", "+", ".", "/", "2026-02-29", "0000-01-01", "9999-12-31", "e", "1/4294967295"],
            mend: None,
            memory: 1 << 20,
            runs: 1500,
            look: word,
        },
        Target {
            name: "typed",
            about: "hours as they are typed, and choices of layout as the screens hand them back",
            seeds: typed,
            words: &[":", "h", "min", ",", ".", " ", "|", "||", "|a|", "NaN", "inf", "1e308"],
            mend: None,
            memory: 1 << 20,
            runs: 500,
            look: typing,
        },
        Target {
            name: "lists",
            about: "price lists and rates as CSV",
            seeds: lists,
            words: &[
                "item", "unit", "price", "since", "supplier", "task", "per_hour", "hourly", ",", ";", "\"",
                "\r",
            ],
            mend: None,
            memory: 4 << 20,
            runs: 600,
            look: list,
        },
        Target {
            name: "invitation",
            about: "invitations from a QR code, and typed codes",
            seeds: invitations,
            words: &["DRYLAY1", "-", " ", "AAAA", "=", "0", "1", "8", "9"],
            mend: None,
            memory: 1 << 20,
            runs: 400,
            look: invitation,
        },
    ]
}

const SHEET_WORDS: &[&str] = &[
    "\"drylay\": 1",
    "\"id\"",
    "\"corners\"",
    "\"tape\"",
    "\"read\"",
    "\"outline\"",
    "\"offset\": \"1/4294967295\"",
    "\"1/3\"",
    "\"12' 3 1/2\\\"\"",
    "\"best\"",
    "true",
    "null",
    "[[0, 0], [1, 1]]",
    "\"2026-02-30\"",
    ":",
    ",",
    "\\ud800",
];

fn text_of(input: &[u8]) -> std::borrow::Cow<'_, str> {
    String::from_utf8_lossy(input)
}

fn bytes_of(texts: &[&str]) -> Vec<Vec<u8>> {
    texts.iter().map(|text| text.as_bytes().to_vec()).collect()
}

fn lengths() -> Vec<Vec<u8>> {
    bytes_of(&[
        "12' 3 1/2\"",
        "147 1/2\"",
        "3746.5 mm",
        "374.65cm",
        "3.7465 m",
        "-1/64\"",
        "5' 11\"",
        "7ft 2in",
        "0 mm",
    ])
}

fn length(input: &[u8]) -> bool {
    let text = text_of(input);
    let mut taken = false;
    for read in [
        Length::parse(&text),
        Length::parse_in(&text, BareUnit::Inches),
        Length::parse_in(&text, BareUnit::Millimetres),
    ] {
        let Ok(length) = read else { continue };
        taken = true;
        let exact = length.show(Notation::Millimetres(6));
        assert_eq!(Length::parse(&exact), Ok(length), "{exact}");
        for rounded in
            [Notation::FeetInches(16), Notation::Inches(64), Notation::Centimetres(1), Notation::Metres(3)]
        {
            let shown = length.show(rounded);
            let again = Length::parse(&shown).unwrap_or_else(|error| panic!("{shown}: {error}"));
            assert_eq!(again.show(rounded), shown);
        }
    }
    if let Ok(typed) = TypedLength::parse(&text) {
        assert_eq!(TypedLength::parse(typed.text()), Ok(typed.clone()));
    }
    taken
}

fn sheets() -> Vec<Vec<u8>> {
    bytes_of(&[demo::SHEET])
}

fn sheet(input: &[u8]) -> bool {
    let Ok(read) = Sheet::read(&text_of(input)) else { return false };
    let again = |sheet: &Sheet| {
        let read = Sheet::read(&sheet.write());
        Some(read.unwrap_or_else(|wrong| panic!("{wrong:?} in what was written")).sheet)
    };
    settles(read.sheet, again);
    true
}

fn parts() -> Vec<Vec<u8>> {
    let mut texts = Vec::new();
    if let Ok(read) = Sheet::read(demo::SHEET) {
        let sheet = read.sheet;
        texts.extend(sheet.compounds.iter().filter_map(Compound::write));
        texts.extend(sheet.supplies.iter().filter_map(Supply::write));
        texts.extend(sheet.underlays.iter().filter_map(Underlay::write));
        texts.extend(sheet.quote.iter().filter_map(Quote::write));
    }
    texts.into_iter().map(String::into_bytes).collect()
}

fn part(input: &[u8]) -> bool {
    let text = text_of(input);
    let demands = Demands::read(&text);
    settles(demands.clone(), |one| one.write().map(|text| Demands::read(&text)));
    let mut taken = demands != Demands::default();
    macro_rules! comes_back {
        ($kind:ty) => {
            if let Some(read) = <$kind>::read(&text) {
                taken = true;
                let again = |one: &$kind| one.write().and_then(|text| <$kind>::read(&text));
                if let Some(once) = again(&read) {
                    settles(once, again);
                } else {
                    assert!(read.write().is_none(), "what was written is not read: {:?}", read.write());
                }
            }
        };
    }
    comes_back!(Compound);
    comes_back!(Supply);
    comes_back!(Underlay);
    comes_back!(Quote);
    taken
}

/// Writing and reading again changes nothing any more. The first time it may: numbers with more digits than `f64` has are
/// read to the nearest but one by `serde_json`, and only fields that this program does not know have any.
fn settles<T: PartialEq + std::fmt::Debug>(once: T, again: impl Fn(&T) -> Option<T>) {
    let mut last = once;
    for _ in 0..8 {
        let Some(next) = again(&last) else { return };
        if next == last {
            return;
        }
        last = next;
    }
    panic!("it never settles: {last:?}");
}

fn words() -> Vec<Vec<u8>> {
    let (key, hash, id) = (PublicKey([0xab; 32]), FileHash::of(b"x"), DocumentId([7; 16]));
    let named = [key.to_string(), hash.to_string(), id.to_string()];
    let mut all = bytes_of(&["2026-03-14", "1/3", "0", "12.50", "-0.031", "+7"]);
    all.extend(named.into_iter().map(String::into_bytes));
    all
}

fn word(input: &[u8]) -> bool {
    let text = text_of(input);
    let mut taken = false;
    if let Some(day) = days(&text) {
        taken = true;
        assert!((-719_529..=2_932_897).contains(&day), "{text}: day {day}");
    }
    if let Some(part) = Fraction::parse(&text) {
        taken = true;
        assert_eq!(Fraction::parse(&format!("{}/{}", part.num, part.den)), Some(part));
    }
    if let Some(number) = Decimal::parse(&text) {
        taken = true;
        assert!(number.to_f64().is_finite());
        for places in [-30, -2, 0, 2, 30] {
            let shifted = number.shifted(places);
            assert_eq!(shifted.shifted(-places), number.shifted(0), "{text} by {places}");
        }
    }
    if let Some(key) = PublicKey::parse(&text) {
        taken = true;
        assert_eq!(PublicKey::parse(&key.to_string()), Some(key));
    }
    if let Some(hash) = FileHash::parse(&text) {
        taken = true;
        assert_eq!(FileHash::parse(&hash.to_string()), Some(hash));
    }
    if let Some(id) = DocumentId::parse(&text) {
        taken = true;
        assert_eq!(DocumentId::parse(&id.to_string()), Some(id));
    }
    taken
}

fn typed() -> Vec<Vec<u8>> {
    bytes_of(&[
        "1.5",
        "1,5 h",
        "1:30",
        "90 min",
        "24",
        "30.5|0|A|B|1/3|s|301000000|1",
        "-179.99|||| |a|1|1000",
        "0||||1/2|a|5|7",
    ])
}

fn typing(input: &[u8]) -> bool {
    let text = text_of(input);
    let hours = outside::hours(&text);
    if let Some(minutes) = hours {
        assert!((1..=24 * 60).contains(&minutes), "{text}: {minutes} minutes");
        for again in [format!("{}:{:02}", minutes / 60, minutes % 60), format!("{minutes} min")] {
            assert_eq!(outside::hours(&again), Some(minutes), "{again}");
        }
    }
    let layout = outside::layout(&text);
    if let Some(written) = &layout {
        assert_eq!(outside::layout(written).as_ref(), Some(written));
    }
    hours.is_some() || layout.is_some()
}

fn lists() -> Vec<Vec<u8>> {
    bytes_of(&[
        "item,unit,price,since,supplier\ngrey,carton,38.20,2026-01-02,The shop\n\"thin, set\",bag,21,,\n",
        "supplier;price;item;unit\nA;1.5;grout;kg\n",
        "task,unit,per_hour,hourly\nlay,m2,1.5,60\ngrout,m2,4,60\n",
    ])
}

fn list(input: &[u8]) -> bool {
    let prices = books::read_prices(input).is_ok_and(|rows| {
        let written = books::write_prices(&rows);
        assert_eq!(books::read_prices(written.as_bytes()).ok(), Some(rows), "{written}");
        true
    });
    let rates = books::read_rates(input).is_ok_and(|rows| {
        let written = books::write_rates(&rows);
        assert_eq!(books::read_rates(written.as_bytes()).ok(), Some(rows), "{written}");
        true
    });
    prices || rates
}

fn a_device(n: u8) -> (SecretKey, DeviceName) {
    (SecretKey::from_seed([n; 32]), DeviceName { id: [n; 16], name: format!("Device {n}") })
}

fn invitations() -> Vec<Vec<u8>> {
    let (key, name) = a_device(1);
    let mut crew = Crew::new(key, name, None);
    let shown = crew.found([3; 16], None, 0).and_then(|()| crew.invite([9; 32], false));
    let mut all = bytes_of(&["1234 5678", "12345678"]);
    if let Ok(shown) = shown {
        let text = shown.text;
        all.push(text.into_bytes());
    }
    all
}

fn invitation(input: &[u8]) -> bool {
    let text = text_of(input);
    let read = Invitation::parse(&text);
    if let Some(invitation) = &read {
        let written = invitation.to_text();
        assert_eq!(Invitation::parse(&written).as_ref(), Some(invitation), "{written}");
    }
    let (key, name) = a_device(2);
    let joins = Crew::new(key, name, None).join(&text).is_ok();
    read.is_some() || joins
}
