//! What the press makes of papers.

use super::Typst;
use drylay_papers::paper::{Block, Fact, Paper, Photo, PhotoMark, Press, Sign, Size};

fn paper(words: &str) -> Paper {
    Paper {
        title: words.to_owned(),
        job: words.to_owned(),
        head: vec![("For".to_owned(), words.to_owned())],
        blocks: vec![
            Block::Heading(words.to_owned()),
            Block::Text(words.to_owned()),
            Block::Facts(vec![Fact {
                label: words.to_owned(),
                value: "12' 3 1/2\"".to_owned(),
                note: String::new(),
            }]),
            Block::Checks(vec![words.to_owned()]),
        ],
        ..Paper::default()
    }
}

#[test]
fn words_of_any_script_and_kind_are_set() {
    // Markup, quotes, controls, right to left, scripts no face knows, joined signs, a lone variation sign.
    let words = "#let x = 1 *b* $y$ \"q\" \\ \u{0} \u{7} \u{202e}x\u{202c} Küche 石 עברית العربية ไทย 👩‍👩‍👧 \u{fe0f} \u{10ffff} _";
    let pdf = Typst.pdf(&paper(words)).expect("a paper");
    assert!(pdf.starts_with(b"%PDF-") && pdf.len() > 5_000);
}

#[test]
fn the_same_paper_gives_the_same_bytes() {
    let one = Typst.pdf(&paper("Quote")).expect("a paper");
    let other = Typst.pdf(&paper("Other")).expect("a paper");
    assert!(one != other);
    assert!(one == Typst.pdf(&paper("Quote")).expect("a paper"));
}

#[test]
fn an_empty_paper_and_odd_blocks_are_set() {
    let empty = Paper { size: Size::Letter, ..Paper::default() };
    assert!(Typst.pdf(&empty).is_ok());
    let sign = Sign {
        strokes: vec![vec![], vec![[f64::NAN, 2.0]], vec![[0.1, 0.2], [0.5, 0.9]]],
        ..Sign::default()
    };
    let blocks = vec![
        Block::Facts(vec![]),
        Block::Table(drylay_papers::paper::Table::default()),
        Block::Figure(drylay_papers::paper::Figure::default()),
        Block::Cards(vec![drylay_papers::paper::Card::default()]),
        Block::Checks(vec![]),
        Block::Photos(vec![Photo { picture: 3, ..Default::default() }]),
        Block::Photos(vec![Photo { picture: 3, shape: [f64::NAN, 1.0], ..Default::default() }]),
        Block::Sign(vec![sign]),
        Block::Sign(vec![]),
        Block::Break,
    ];
    assert_eq!(Typst.pdf(&Paper { blocks, ..Paper::default() }).err(), None);
}

/// A picture of one grey pixel: signature, header, one deflated row (PNG specification, ISO/IEC 15948).
const PIXEL: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0\x3a\x7e\x9b\x55\0\0\0\nIDAT\x78\x9c\x63\x68\0\0\0\x82\0\x81\x77\xcd\x72\xb6\0\0\0\0IEND\xaeB\x60\x82";

#[test]
fn what_is_drawn_upon_a_photo_is_set_with_it() {
    let mark =
        |points: Vec<[f64; 2]>, words: &str| PhotoMark { points, arrow: true, words: words.to_owned() };
    let with = |marks: Vec<PhotoMark>| {
        let photo = Photo { shape: [1600.0, 1200.0], marks, ..Photo::default() };
        let paper = Paper {
            pictures: vec![PIXEL.to_vec()],
            blocks: vec![Block::Photos(vec![photo])],
            ..Paper::default()
        };
        Typst.pdf(&paper).expect("a paper")
    };
    let bare = with(vec![]);
    let long =
        "a crack from the post to the door, wider at the post, older than the paint over it ".repeat(6);
    for marks in [
        vec![mark(vec![[0.1, 0.2], [0.8, 0.9]], "")],
        vec![mark(vec![[0.99, 0.01]], "12 mm")],
        vec![mark(vec![[0.5, 0.5]], &long)],
    ] {
        assert!(with(marks) != bare);
    }
    // Of places that are none nothing is drawn, and nothing fails.
    for marks in [vec![mark(vec![], "")], vec![mark(vec![[f64::NAN, 2.0], [f64::NAN, 2.0]], "x")]] {
        with(marks);
    }
}

#[test]
fn a_damaged_picture_is_told() {
    let blocks = vec![Block::Photos(vec![Photo::default()])];
    let found = Typst.pdf(&Paper { blocks, pictures: vec![b"no picture".to_vec()], ..Paper::default() });
    assert!(found.is_err());
}
