//! A plan as DXF, ASCII, version AC1015 (R2000), in millimetres (`$INSUNITS` 4; DXF reference, HEADER section).
//!
//! DXF has y up, so a plan's y is turned round. Layers: ROOM, KEEPOUT, FIELD, OPENING, JOINT, CHALK, NUMBER, and for
//! pieces one for each cut: PIECE_WHOLE, PIECE_LENGTH, PIECE_RIP, PIECE_CORNER, PIECE_SHAPE, with PIECE_HOLE for what is
//! cut out of them. Outlines are closed LWPOLYLINE entities; a piece's number is a TEXT of its own.

use crate::drawing::{Cut, DrawnPiece, PlanDrawing, Point, inside};
use crate::number::mm;
use crate::svg::lettering;
use std::fmt::Display;

/// Layers with their colours by the DXF's colour index.
const LAYERS: [(&str, u8); 14] = [
    ("0", 7),
    ("ROOM", 7),
    ("KEEPOUT", 8),
    ("FIELD", 9),
    ("OPENING", 4),
    ("JOINT", 1),
    ("CHALK", 5),
    ("NUMBER", 7),
    ("PIECE_WHOLE", 8),
    ("PIECE_LENGTH", 3),
    ("PIECE_RIP", 3),
    ("PIECE_CORNER", 2),
    ("PIECE_SHAPE", 30),
    ("PIECE_HOLE", 6),
];

const MODEL: &str = "1F";
const PAPER: &str = "1E";

fn layer_of(cut: Cut) -> &'static str {
    match cut {
        Cut::Whole => "PIECE_WHOLE",
        Cut::Length => "PIECE_LENGTH",
        Cut::Rip => "PIECE_RIP",
        Cut::Corner => "PIECE_CORNER",
        Cut::Shape => "PIECE_SHAPE",
    }
}

/// Writes a plan.
pub fn dxf(plan: &PlanDrawing) -> String {
    let mut entities = Writer { out: String::new(), handle: 0x100 };
    for piece in &plan.pieces {
        entities.piece(piece);
    }
    for ring in &plan.field {
        entities.ring("FIELD", ring);
    }
    for room in &plan.rooms {
        entities.ring("ROOM", &room.ring);
        let (at, size) = inside(std::slice::from_ref(&room.ring));
        entities.text("ROOM", at, lettering(&room.name, size).max(20.0), &room.name);
    }
    for (_, ring) in &plan.keepouts {
        entities.ring("KEEPOUT", ring);
    }
    for (layer, lines) in [("OPENING", &plan.openings), ("JOINT", &plan.joints)] {
        lines.iter().for_each(|ends| entities.line(layer, ends));
    }
    plan.chalk.iter().for_each(|ends| entities.line("CHALK", ends));
    let mut file = Writer { out: String::new(), handle: 0 };
    file.header(plan, entities.handle + 1);
    file.tables();
    file.blocks();
    file.open("ENTITIES");
    file.out.push_str(&entities.out);
    file.pair(0, "ENDSEC");
    file.objects();
    file.pair(0, "EOF");
    file.out
}

struct Writer {
    out: String,
    /// The last handle that was given.
    handle: u32,
}

impl Writer {
    fn pair(&mut self, code: u16, value: impl Display) {
        self.out.push_str(&format!("{code:>3}\n{value}\n"));
    }

    fn pairs(&mut self, pairs: &[(u16, &str)]) {
        pairs.iter().for_each(|(code, value)| self.pair(*code, value));
    }

    fn open(&mut self, section: &str) {
        self.pairs(&[(0, "SECTION"), (2, section)]);
    }

    /// A place, y turned up.
    fn place(&mut self, [x, y]: Point, code: u16) {
        self.pair(code, mm(x));
        self.pair(code + 10, mm(-y));
        self.pair(code + 20, "0");
    }

    fn header(&mut self, plan: &PlanDrawing, next: u32) {
        let (least, most) = plan.bounds().unwrap_or(([0.0; 2], [0.0; 2]));
        self.open("HEADER");
        self.pairs(&[(9, "$ACADVER"), (1, "AC1015"), (9, "$DWGCODEPAGE"), (3, "ANSI_1252")]);
        self.pair(9, "$HANDSEED");
        self.pair(5, format!("{next:X}"));
        // Millimetres; metric; decimal with one place.
        self.pairs(&[(9, "$INSUNITS"), (70, "4"), (9, "$MEASUREMENT"), (70, "1")]);
        self.pairs(&[(9, "$LUNITS"), (70, "2"), (9, "$LUPREC"), (70, "1")]);
        self.pair(9, "$EXTMIN");
        self.place([least[0], most[1]], 10);
        self.pair(9, "$EXTMAX");
        self.place([most[0], least[1]], 10);
        self.pair(0, "ENDSEC");
    }

    fn table(&mut self, name: &str, handle: &str, count: usize) {
        self.pairs(&[(0, "TABLE"), (2, name), (5, handle), (330, "0"), (100, "AcDbSymbolTable")]);
        self.pair(70, count);
    }

    fn record(&mut self, kind: &str, handle: &str, of: &str, class: &str, name: &str) {
        self.pairs(&[
            (0, kind),
            (5, handle),
            (330, of),
            (100, "AcDbSymbolTableRecord"),
            (100, class),
            (2, name),
        ]);
    }

    fn tables(&mut self) {
        self.open("TABLES");
        self.table("VPORT", "8", 0);
        self.pair(0, "ENDTAB");
        self.table("LTYPE", "5", 3);
        for (handle, name) in [("14", "ByBlock"), ("15", "ByLayer"), ("16", "Continuous")] {
            self.record("LTYPE", handle, "5", "AcDbLinetypeTableRecord", name);
            self.pairs(&[(70, "0"), (3, ""), (72, "65"), (73, "0"), (40, "0")]);
        }
        self.pair(0, "ENDTAB");
        self.table("LAYER", "2", LAYERS.len());
        for (i, (name, colour)) in LAYERS.iter().enumerate() {
            self.record("LAYER", &format!("{:X}", 0x40 + i), "2", "AcDbLayerTableRecord", name);
            self.pair(70, 0);
            self.pair(62, colour);
            self.pairs(&[(6, "Continuous"), (390, "F")]);
        }
        self.pair(0, "ENDTAB");
        self.table("STYLE", "3", 1);
        self.record("STYLE", "11", "3", "AcDbTextStyleTableRecord", "Standard");
        self.pairs(&[(70, "0"), (40, "0"), (41, "1"), (50, "0"), (71, "0"), (42, "50"), (3, "txt"), (4, "")]);
        self.pair(0, "ENDTAB");
        for (name, handle) in [("VIEW", "6"), ("UCS", "7")] {
            self.table(name, handle, 0);
            self.pair(0, "ENDTAB");
        }
        self.table("APPID", "9", 1);
        self.record("APPID", "12", "9", "AcDbRegAppTableRecord", "ACAD");
        self.pairs(&[(70, "0"), (0, "ENDTAB")]);
        self.table("DIMSTYLE", "A", 1);
        self.pair(100, "AcDbDimStyleTable");
        self.pairs(&[(0, "DIMSTYLE"), (105, "27"), (330, "A"), (100, "AcDbSymbolTableRecord")]);
        self.pairs(&[(100, "AcDbDimStyleTableRecord"), (2, "Standard"), (70, "0"), (0, "ENDTAB")]);
        self.table("BLOCK_RECORD", "1", 2);
        for (handle, name) in [(MODEL, "*Model_Space"), (PAPER, "*Paper_Space")] {
            self.record("BLOCK_RECORD", handle, "1", "AcDbBlockTableRecord", name);
            self.pair(340, "0");
        }
        self.pairs(&[(0, "ENDTAB"), (0, "ENDSEC")]);
    }

    fn blocks(&mut self) {
        self.open("BLOCKS");
        for (of, begin, end, name) in
            [(MODEL, "20", "21", "*Model_Space"), (PAPER, "1C", "1D", "*Paper_Space")]
        {
            self.pairs(&[(0, "BLOCK"), (5, begin), (330, of), (100, "AcDbEntity"), (8, "0")]);
            self.pairs(&[(100, "AcDbBlockBegin"), (2, name), (70, "0")]);
            self.place([0.0, 0.0], 10);
            self.pairs(&[(3, name), (1, ""), (0, "ENDBLK"), (5, end), (330, of)]);
            self.pairs(&[(100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockEnd")]);
        }
        self.pair(0, "ENDSEC");
    }

    fn objects(&mut self) {
        self.open("OBJECTS");
        self.pairs(&[(0, "DICTIONARY"), (5, "C"), (330, "0"), (100, "AcDbDictionary"), (281, "1")]);
        self.pairs(&[(3, "ACAD_GROUP"), (350, "D"), (3, "ACAD_PLOTSTYLENAME"), (350, "E")]);
        self.pairs(&[(0, "DICTIONARY"), (5, "D"), (330, "C"), (100, "AcDbDictionary"), (281, "1")]);
        self.pairs(&[(0, "ACDBDICTIONARYWDFLT"), (5, "E"), (330, "C"), (100, "AcDbDictionary"), (281, "1")]);
        self.pairs(&[(3, "Normal"), (350, "F"), (100, "AcDbDictionaryWithDefault"), (340, "F")]);
        self.pairs(&[(0, "ACDBPLACEHOLDER"), (5, "F"), (330, "E"), (0, "ENDSEC")]);
    }

    /// What every entity begins with.
    fn entity(&mut self, kind: &str, layer: &str) {
        self.handle += 1;
        self.pair(0, kind);
        self.pair(5, format!("{:X}", self.handle));
        self.pairs(&[(330, MODEL), (100, "AcDbEntity"), (8, layer)]);
    }

    fn ring(&mut self, layer: &str, ring: &[Point]) {
        self.entity("LWPOLYLINE", layer);
        self.pair(100, "AcDbPolyline");
        self.pair(90, ring.len());
        self.pairs(&[(70, "1"), (43, "0")]);
        for [x, y] in ring {
            self.pair(10, mm(*x));
            self.pair(20, mm(-y));
        }
    }

    fn line(&mut self, layer: &str, [from, to]: &[Point; 2]) {
        self.entity("LINE", layer);
        self.pair(100, "AcDbLine");
        self.place(*from, 10);
        self.place(*to, 11);
    }

    /// A text centred on a place.
    fn text(&mut self, layer: &str, at: Point, height: f64, words: &str) {
        self.entity("TEXT", layer);
        self.pair(100, "AcDbText");
        self.place(at, 10);
        self.pair(40, mm(height.max(1.0).round()));
        self.pair(1, coded(words));
        self.pair(72, 1);
        self.place(at, 11);
        self.pairs(&[(100, "AcDbText"), (73, "2")]);
    }

    fn piece(&mut self, piece: &DrawnPiece) {
        let mut layer = layer_of(piece.cut);
        for ring in &piece.rings {
            self.ring(layer, ring);
            layer = "PIECE_HOLE";
        }
        let (at, room) = inside(&piece.rings);
        self.text("NUMBER", at, lettering(&piece.id, room), &piece.id);
    }
}

/// A text as R2000 has it: what is not ASCII as `\U+` and its code, what is above that plane as the sign for the unknown;
/// no line breaks, and no `%%` that would be read as a command.
fn coded(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match u32::from(c) {
            0x25 => out.push_str("%%%"),
            0x20..=0x7e => out.push(c),
            0x80..=0xffff => out.push_str(&format!("\\U+{:04X}", u32::from(c))),
            0x1_0000.. => out.push_str("\\U+FFFD"),
            _ => out.push(' '),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_plain_ascii() {
        assert_eq!(coded("Küche 石\n50 % 🏠"), "K\\U+00FCche \\U+77F3 50 %%% \\U+FFFD");
    }

    #[test]
    fn every_handle_stands_once_and_y_is_up() {
        let ring = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 50.0]];
        let piece =
            |id: &str| DrawnPiece { id: id.to_owned(), cut: Cut::Rip, tile: 1, rings: vec![ring.clone()] };
        let plan = PlanDrawing { pieces: vec![piece("1-1"), piece("1-2")], ..PlanDrawing::default() };
        let text = dxf(&plan);
        let lines: Vec<&str> = text.lines().collect();
        let of = |code: &str| -> Vec<&str> {
            lines.chunks_exact(2).filter(|pair| pair[0].trim() == code).map(|pair| pair[1]).collect()
        };
        let number = |hex: &str| u32::from_str_radix(hex, 16).expect("a handle");
        let (mut handles, seed) = ([of("5"), of("105")].concat(), of("5")[0]);
        let count = handles.len();
        handles.sort_unstable();
        handles.dedup();
        assert_eq!(handles.len(), count);
        assert!(handles.iter().all(|h| number(h) <= number(seed)));
        assert!(of("20").contains(&"-50") && of("10").contains(&"100"));
        assert_eq!(text, dxf(&plan));
    }
}
