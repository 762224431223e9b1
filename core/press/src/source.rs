//! A paper's blocks as a text for typst: calls of the functions of `paper.typ`, all words as quoted strings.

use crate::desk::picture;
use crate::figure::{figure, scale};
use drylay_papers::paper::{
    Block, Card, Column, Fact, Figure, Paper, Photo, PhotoMark, Row, Sign, Size, Table,
};

/// White around the page, mm.
pub(crate) const MARGIN: f64 = 15.0;
/// What margins, a heading and the words below a drawing take of a page's height, mm.
const TAKEN: f64 = 72.0;
/// White between two photos beside each other, and the greatest height of one, mm.
const BESIDE: f64 = 6.0;
const PHOTO: f64 = 68.0;
/// How long the barbs of an arrow upon a photo are along it, and how far they stand off it, mm.
const BARB: [f64; 2] = [3.0, 1.4];
/// Rows from which on a narrow table is set in two halves beside each other.
const LONG: usize = 14;
/// Rows of such a half at most.
const HALF: usize = 32;

/// The text of a paper.
pub(crate) fn of(paper: &Paper) -> String {
    let size = match paper.size {
        Size::A4 => "a4",
        Size::Letter => "us-letter",
    };
    let head: Vec<String> =
        paper.head.iter().map(|(label, words)| format!("({}, {})", quoted(label), quoted(words))).collect();
    let mut out = format!(
        "#import \"/paper.typ\": *\n#show: paper.with({}, head: {}, size: {})\n",
        of_what(paper),
        list(&head),
        quoted(size),
    );
    for block in &paper.blocks {
        out.push_str(&self::block(block, paper.size.mm(), paper.pictures.len()));
        out.push('\n');
    }
    out
}

/// Which paper it is, whose and from whom.
fn of_what(paper: &Paper) -> String {
    format!("title: {}, job: {}, from: {}", quoted(&paper.title), quoted(&paper.job), quoted(&paper.from))
}

/// The text of what stands above and below a paper's pages, whose sizes are in points.
pub(crate) fn margins(paper: &Paper, pages: &[[f64; 2]]) -> String {
    let sizes: Vec<String> = pages.iter().map(|[width, height]| format!("({width}pt, {height}pt)")).collect();
    let (what, foot) = (of_what(paper), quoted(&paper.foot));
    format!("#import \"/paper.typ\": *\n#margins({what}, foot: {foot}, {})\n", list(&sizes))
}

/// A text as typst reads it between quotes. Control characters are no words.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push(' '),
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A list that stays one when it has a single member.
pub(crate) fn list(members: &[String]) -> String {
    members.iter().fold("(".to_owned(), |list, member| list + member + ", ") + ")"
}

fn block(block: &Block, sheet: [f64; 2], pictures: usize) -> String {
    let width = sheet[0] - 2.0 * MARGIN;
    match block {
        Block::Heading(words) => format!("#heading-line({})", quoted(words)),
        Block::Text(words) => format!("#words({})", quoted(words)),
        Block::Small(words) => format!("#small-words({})", quoted(words)),
        Block::Facts(facts) => format!("#facts({})", list(&facts.iter().map(fact).collect::<Vec<_>>())),
        Block::Table(table) => self::table(table),
        Block::Figure(drawn) => {
            format!("#figure-block({}, {})", figure(drawn, width), quoted(&drawn.words))
        }
        Block::Page(title, drawn) => page(title, drawn, sheet),
        Block::Cards(cards) => {
            format!("#cards({})", list(&cards.iter().map(|one| card(one, width)).collect::<Vec<_>>()))
        }
        Block::Caution { words, hint } => format!("#caution({}, {})", quoted(words), quoted(hint)),
        Block::Checks(lines) => {
            format!("#checks({})", list(&lines.iter().map(|line| quoted(line)).collect::<Vec<_>>()))
        }
        Block::Sign(signs) => format!("#signs({})", list(&signs.iter().map(sign).collect::<Vec<_>>())),
        Block::Photos(photos) => {
            let known = photos.iter().filter(|photo| photo.picture < pictures);
            let shown: Vec<String> = known.map(|one| photo(one, (width - BESIDE) / 2.0)).collect();
            format!("#photos({})", list(&shown))
        }
        Block::Break => "#pagebreak(weak: true)".to_owned(),
    }
}

/// A drawing with a page of its own, on its side where it is larger there.
fn page(title: &str, drawn: &Figure, [width, height]: [f64; 2]) -> String {
    let room = |width: f64, height: f64| [width - 2.0 * MARGIN, height - TAKEN];
    let (upright, lying) = (room(width, height), room(height, width));
    let of = |room: [f64; 2]| Figure { height: room[1], ..drawn.clone() };
    let lies = scale(drawn, lying) > scale(drawn, upright);
    let room = if lies { lying } else { upright };
    format!("#plan-page({}, {}, {}, {lies})", quoted(title), figure(&of(room), room[0]), quoted(&drawn.words))
}

fn fact(fact: &Fact) -> String {
    list(&[quoted(&fact.label), quoted(&fact.value), quoted(&fact.note)])
}

fn table(table: &Table) -> String {
    let column = |column: &Column| {
        let share = if column.share > 0.0 { format!("{}fr", column.share) } else { "auto".to_owned() };
        list(&[quoted(&column.title), column.figures.to_string(), share])
    };
    let row = |row: &Row| {
        // A row that is too short or too long would break the table's grid.
        let words = |i: usize| row.cells.get(i).map_or("", String::as_str);
        let cell = |i: usize| match row.strong {
            true => format!("table.cell(stroke: (top: 0.8pt + ink), strong({}))", cell_words(words(i))),
            false => cell_words(words(i)),
        };
        (0..table.columns.len()).map(cell).collect::<Vec<_>>().join(", ")
    };
    let columns = list(&table.columns.iter().map(column).collect::<Vec<_>>());
    if table.columns.is_empty() {
        return String::new();
    }
    let rows: Vec<String> = table.rows.iter().map(row).collect();
    let of = |rows: &[String]| format!("rows-of({columns}, {})", rows.join(", "));
    let narrow = table.columns.iter().all(|column| column.share <= 0.0);
    if !narrow || rows.len() < LONG {
        return format!("#{}", of(&rows));
    }
    // Whole pages of two halves first, then what is left.
    let pairs = rows.chunks(2 * HALF).map(|both| {
        let half = both.len().div_ceil(2);
        format!("#beside({}, {})\n", of(&both[..half]), of(&both[half..]))
    });
    pairs.collect()
}

/// The words of a cell: what follows a line break stands in small letters.
fn cell_words(words: &str) -> String {
    let (first, more) = words.split_once('\n').unwrap_or((words, ""));
    let small = |part: &str| format!("linebreak(); text(size: 8pt, fill: soft, {})", quoted(part));
    match more {
        "" => format!("[#{}]", quoted(first)),
        more => {
            let parts: Vec<String> = more.split('\n').map(small).collect();
            format!("{{ {}; {} }}", quoted(first), parts.join("; "))
        }
    }
}

fn card(card: &Card, width: f64) -> String {
    let figures: Vec<String> = card
        .figures
        .iter()
        .map(|(words, figure)| format!("({}, {})", quoted(words), quoted(figure)))
        .collect();
    // Two cards beside each other, with white between and within them.
    let wide = (width - 6.0) / 2.0 - 8.0;
    format!(
        "({}, {}, {}, {}, {})",
        quoted(&card.title),
        quoted(&card.note),
        figure(&card.figure, wide),
        list(&figures),
        quoted(&card.care)
    )
}

fn sign(sign: &Sign) -> String {
    let stroke = |stroke: &Vec<[f64; 2]>| {
        let inside = |x: f64| if x.is_finite() { x.clamp(0.0, 1.0) } else { 0.0 };
        list(
            &stroke
                .iter()
                .map(|[x, y]| format!("({:.4}, {:.4})", inside(*x), inside(*y)))
                .collect::<Vec<_>>(),
        )
    };
    let strokes: Vec<String> = sign.strokes.iter().map(stroke).collect();
    format!("({}, {}, {}, {})", quoted(&sign.words), quoted(&sign.name), quoted(&sign.day), list(&strokes))
}

/// A photo as `(picture, words, note, (width, height), marks)`, at most so wide in mm.
fn photo(photo: &Photo, width: f64) -> String {
    let name = picture(photo.picture);
    let (size, marks) = match photo.shape {
        [w, h] if w > 0.0 && h > 0.0 && (w / h).is_finite() => {
            let by = (width / w).min(PHOTO / h);
            let size = [w * by, h * by];
            (
                format!("({:.3}mm, {:.3}mm)", size[0], size[1]),
                photo.marks.iter().map(|one| mark(one, size)).collect(),
            )
        }
        _ => ("(100%, auto)".to_owned(), Vec::new()),
    };
    format!(
        "({}, {}, {}, {size}, {})",
        quoted(&name),
        quoted(&photo.words),
        quoted(&photo.note),
        list(&marks)
    )
}

/// What is drawn upon a photo of a size in mm, as `(lines, at, words)`.
fn mark(mark: &PhotoMark, [width, height]: [f64; 2]) -> String {
    let inside = |x: f64| if x.is_finite() { x.clamp(0.0, 1.0) } else { 0.0 };
    let points: Vec<[f64; 2]> =
        mark.points.iter().map(|[x, y]| [inside(*x) * width, inside(*y) * height]).collect();
    let mut lines = vec![points.clone()];
    if let (true, [from, to, ..]) = (mark.arrow, points.as_slice()) {
        lines.push(barbs(*from, *to));
    }
    let place = |[x, y]: &[f64; 2]| format!("({x:.3}mm, {y:.3}mm)");
    let line = |line: &Vec<[f64; 2]>| list(&line.iter().map(place).collect::<Vec<_>>());
    let lines: Vec<String> = lines.iter().filter(|line| line.len() > 1).map(line).collect();
    let at = match points.as_slice() {
        [] => [0.0, 0.0],
        [one] => *one,
        [a, b, ..] => [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])],
    };
    format!("({}, {}, {})", list(&lines), place(&at), quoted(&mark.words))
}

/// The head of an arrow: from one barb over its point to the other.
fn barbs(from: [f64; 2], to: [f64; 2]) -> Vec<[f64; 2]> {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let long = (dx * dx + dy * dy).sqrt().max(1e-9);
    let [ux, uy] = [dx / long, dy / long];
    let barb = |side: f64| [to[0] - BARB[0] * ux + side * uy, to[1] - BARB[0] * uy - side * ux];
    vec![barb(BARB[1]), to, barb(-BARB[1])]
}
