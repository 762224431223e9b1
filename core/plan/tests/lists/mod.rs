//! Published cutting lists with known optima, for tests and for the clock.

/// A list of pieces that come from bars.
pub(crate) struct List {
    /// What it is called where it stands.
    pub(crate) name: &'static str,
    /// The bar's length.
    pub(crate) bar: u32,
    /// Lengths, each with how often (`45x97`) where it is more than once.
    pub(crate) pieces: &'static str,
    /// The fewest bars.
    pub(crate) fewest: usize,
}

impl List {
    /// Lengths and how often each is cut.
    pub(crate) fn pieces(&self) -> Vec<(u32, usize)> {
        let piece = |word: &str| {
            let (length, count) = word.split_once('x').unwrap_or((word, "1"));
            (length.parse().expect("a length"), count.parse().expect("a count"))
        };
        self.pieces.split_whitespace().map(piece).collect()
    }
}

/// Chvátal, *Linear Programming* (1983), ch. 13: the LP is 452.25. The encyclopaedia's example of 13 widths from rolls of
/// 5600 (Wikipedia, *Cutting stock problem*). Of the BPPLIB: Falkenauer (1996), u120_00, of which first fit takes 49, and
/// t60_00, triplets that fill 20 bars without any waste, of which it takes 23; Scholl, Klein and Jürgens (1997), of each
/// of which it takes one more.
pub(crate) const PUBLISHED: &[List] = &[
    List { name: "Chvátal ch. 13", bar: 100, pieces: "45x97 36x610 31x395 14x211", fewest: 453 },
    List {
        name: "paper mill",
        bar: 5600,
        pieces: "1380x22 1520x25 1560x12 1710x14 1820x18 1880x18 1930x20 2000x10 2050x12 2100x14 2140x16 2150x18 2200x20",
        fewest: 73,
    },
    List {
        name: "u120_00",
        bar: 150,
        pieces: "98x3 96x2 94 93x2 92 91x2 90 87 86 85x2 84x5 83x2 82x2 81 80x3 79x2 78x4 76 74x2 73x4 72 71 \
                 70x3 69x3 67 66 64 62x2 60x2 59 58x3 57x4 55x3 50 49x3 47 46x2 45x2 44x2 43x4 42x5 41x3 39x2 \
                 38x3 37 36x3 35 33x3 32x2 30x3 29 28 27x2 26 25x2 24 23x2 20",
        fewest: 48,
    },
    List {
        name: "t60_00",
        bar: 1000,
        pieces: "495 474 473 472 466 450 445 444 439 430 419 414 410 395 372 370 366x3 363 361 357 355 351 \
                 350x2 347 320 315 307 303 299 298x2 292 288 287 283 275x2 274 273x2 272x2 271 269x2 268 263 \
                 262 261 259 258 255 254 252x3 251",
        fewest: 20,
    },
    List {
        name: "N1C1W1_C",
        bar: 100,
        pieces: "92 89 87 84 82x2 81 75 73 71 67x2 63 59 57 56 52 49 48 47 46 41 39 38 36 35 34x2 30 29 26 21 \
                 20 19 18 15x2 13 11 10x3 9 8x2 7 6x3 3",
        fewest: 20,
    },
    List {
        name: "N1C1W1_N",
        bar: 100,
        pieces: "99 98 95x3 94x2 91 88 87 86 85 76 74 73 71 68 60 55 54 51 45 42 40 39x2 36 34 33 32x2 31x2 \
                 30 29 26x2 23 21x3 19 18x2 16 15 5x2 4 1",
        fewest: 25,
    },
    List {
        name: "N1C2W2_H",
        bar: 120,
        pieces: "99 98 93x2 91 88 85 82 80 78 76 70 68 67 66 65 61x2 57 56x2 53 52x3 51 48 47 46 44 43x3 41x3 \
                 37x2 36x2 35 33x2 32 31 27 26 22x2 21",
        fewest: 23,
    },
];
