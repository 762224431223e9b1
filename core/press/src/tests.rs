//! What the press makes of papers.

use super::Typst;
use drylay_papers::paper::{Block, Fact, Paper, Press, Sign, Size};

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
        Block::Photos(vec![drylay_papers::paper::Photo { picture: 3, ..Default::default() }]),
        Block::Sign(vec![sign]),
        Block::Sign(vec![]),
        Block::Break,
    ];
    assert_eq!(Typst.pdf(&Paper { blocks, ..Paper::default() }).err(), None);
}

#[test]
fn a_damaged_picture_is_told() {
    let blocks = vec![Block::Photos(vec![drylay_papers::paper::Photo::default()])];
    let found = Typst.pdf(&Paper { blocks, pictures: vec![b"no picture".to_vec()], ..Paper::default() });
    assert!(found.is_err());
}
