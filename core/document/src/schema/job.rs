//! A job: its rooms, how they join, what is laid where, and what was decided.

use drylay_geometry::ItemId;

use super::{
    Callback, ChangeOrder, ClientAnswer, CutMark, Delivery, Expense, Frozen, GatePass, HeatingStep, LotUse,
    Note, PieceMark, Price, Problem, Product, RowMark, Section, Stage, TimeSpent, Units, Variant, WalkItem,
};
use crate::entry::{entry, entry_set};
use crate::ids::{ContentHash, DocumentId, Place};
use crate::stored::{At, Decimal, Secret, TypedLength, group, words};

entry! {
    /// What is said of the job once: at the first call, and later.
    Single JobFacts in facts {
        /// What the crew calls it.
        name: Option<String>,
        /// Whom it is for.
        client: Option<String>,
        /// Where it is.
        site: Option<String>,
        /// How to reach the client.
        contact: Option<String>,
        /// How lengths are typed and marked out.
        units: Option<Units>,
        /// When the house was built, as far as known.
        year_built: Option<i64>,
        /// The day on which laying begins, as year-month-day.
        lay_day: Option<String>,
        /// How to get in: stairs, which door, how wide.
        access: Option<String>,
        /// Where to park and unload.
        parking: Option<String>,
        /// Whether there is a lift.
        lift: Option<bool>,
        /// Animals in the house.
        pets: Option<String>,
        /// When work may be done.
        hours: Option<String>,
        /// Rules of the house.
        house_rules: Option<String>,
        /// Sound rating that the house asks.
        sound_rating: Option<String>,
        /// Permits needed or given.
        permits: Option<String>,
        /// Damage there before work began.
        existing_damage: Option<String>,
        /// How a delivery comes.
        delivery: Option<String>,
        /// Where it is stored.
        storage: Option<String>,
        /// Who moves furniture.
        moving: Option<String>,
        /// Which appliances stand there, and who takes them off gas and water.
        appliances: Option<String>,
        /// Codes of doors and lock boxes. Nothing writes them any more: a document goes to every device of the crew and
        /// into every hand-over, so codes are kept by the device they were typed on.
        lock_codes: Option<Secret>,
        /// Breakage reckoned with, in per cent of the plan's tiles: the shop's when the job was made, or its own.
        breakage_percent: Option<Decimal>,
        /// Spare tiles left with the client, in per cent of the plan's tiles: likewise.
        attic_percent: Option<Decimal>,
        /// Terms of the quote and what is in it beside the plan, as a job sheet writes it without its variants.
        quote: Option<String>,
        /// Whether the job is over and put away.
        put_away: Option<bool>,
    }
}

entry! {
    /// A room of the job: which document holds it.
    Thing RoomLink in rooms {
        /// The room's document.
        document: DocumentId,
        /// What people call it.
        name: String,
        /// Its place in the list.
        place: Place,
    }
}

entry! {
    /// Two openings of different rooms that are one hole through the wall between them.
    Thing Passage in passages {
        /// The room on one side.
        room_a: ItemId,
        /// Its opening.
        opening_a: ItemId,
        /// The room on the other side.
        room_b: ItemId,
        /// Its opening.
        opening_b: ItemId,
        /// Thickness of the wall.
        depth: TypedLength,
        /// Its place in the list.
        place: Option<Place>,
    }
}

words! {
    /// How the offset goes on from row to row.
    Order {
        /// Each row one offset further.
        Stepped = "stepped",
        /// Every second row moved by one offset.
        Alternating = "alternating",
    }
}

group! {
    /// The direction of the rows: along a wall of a room, or an angle.
    Along {
        /// The wall's corners, in the direction of the rows; empty for an angle.
        wall: Vec<ItemId>,
        /// Degrees clockwise on the page from x.
        degrees: Option<Decimal>,
    }
}

words! {
    /// What lies at a place that a layout is centred on.
    Middle {
        /// Whichever makes the better plan.
        Best = "best",
        /// The middle of a joint.
        Joint = "joint",
        /// The middle of a tile.
        Tile = "tile",
    }
}

group! {
    /// A place that a layout is centred on.
    CentreWish {
        /// Where it is, in plan coordinates of the area's first room, where it is not the middle of something.
        at: Option<At>,
        /// What it is the middle of: a room, and an opening, a keep-out or a located thing of it.
        on: Vec<ItemId>,
        /// What of the rows lies there.
        rows: Middle,
        /// What of the tiles of that row lies there; `None` for wherever it is best.
        tiles: Option<Middle>,
    }
}

group! {
    /// An opening of a room.
    OpeningOf {
        /// The room.
        room: ItemId,
        /// Its opening.
        opening: ItemId,
    }
}

group! {
    /// Where a short cut would show, and how long a piece should be there at least.
    SeenWish {
        /// Neither extent of a piece should be less.
        least: TypedLength,
        /// The openings.
        openings: Vec<OpeningOf>,
    }
}

group! {
    /// A wall that should have a whole row, or must not.
    WallWish {
        /// One corner.
        from: ItemId,
        /// The other.
        to: ItemId,
        /// Whether the row along it should be whole.
        whole_row: bool,
    }
}

entry! {
    /// Rooms that are laid as one field, and what is wished of the layout. What is not answered is left to the
    /// search.
    Thing Area in areas {
        /// What people call it.
        name: Option<String>,
        /// The rooms; plan coordinates are those of the first.
        rooms: Vec<ItemId>,
        /// What is laid: a product of the job.
        product: ItemId,
        /// On which underlayment: a product of the job.
        underlay: Option<ItemId>,
        /// The direction of the rows.
        along: Option<Along>,
        /// The offset between rows, as part of the length: `1/3`.
        offset: Option<String>,
        /// How it goes on.
        order: Option<Order>,
        /// Width of row 1 beyond the field's least v.
        first_row: Option<TypedLength>,
        /// Exposed length of the tile at the field's least u inside row 1.
        shift: Option<TypedLength>,
        /// By how much the search keeps clear of the product's limits.
        margin: Option<TypedLength>,
        /// Walls with a wish of their own.
        walls: Vec<WallWish>,
        /// Something to be centred on: an opening, a hearth.
        centred_on: Option<ItemId>,
        /// A place to be centred on.
        centre: Option<CentreWish>,
        /// The wall to start from, by its two corners.
        start_wall: Vec<ItemId>,
        /// Openings in which no piece should be cut short; none of them named for all.
        doorways: Option<SeenWish>,
        /// The opening from which one looks along the floor as one comes in.
        sight_line: Option<SeenWish>,
        /// Whether pieces may be cut from another place along the tile than their own.
        slide: Option<bool>,
        /// Ten rows laid dry and measured across from outer edge to outer edge, for the real pitch.
        ten_rows: Option<TypedLength>,
        /// Ten tiles of a row laid dry and measured from outer edge to outer edge.
        ten_tiles: Option<TypedLength>,
        /// Its place in the list.
        place: Option<Place>,
    }
}

entry! {
    /// A layout that a person accepted: a decision, since a search that can be cancelled cannot be repeated to the
    /// bit. The pieces are computed from it. The newest that stands for an area is the one in force.
    Record Choice in choices {
        /// The area.
        area: ItemId,
        /// The direction of the rows as degrees clockwise on the page from x; exact text.
        degrees: Decimal,
        /// The wall it came from, by two corners of the area's first room; empty for a free angle.
        wall: Vec<ItemId>,
        /// The room of that wall.
        wall_room: Option<ItemId>,
        /// The offset between rows, as part of the length.
        offset: String,
        /// How it goes on.
        order: Order,
        /// Width of row 1 beyond the field's least v.
        first_row: TypedLength,
        /// Exposed length of the tile at the field's least u inside row 1.
        shift: TypedLength,
        /// From which row on it holds: later than 1 where the rest was planned again around what lies.
        from_row: Option<i64>,
    }
}

words! {
    /// What a photo is pinned to.
    PinKind {
        /// A room.
        Room = "room",
        /// A wall, by its left corner.
        Wall = "wall",
        /// A reading.
        Reading = "reading",
        /// A piece of the plan.
        Piece = "piece",
        /// An opening.
        Opening = "opening",
        /// A point of the floor.
        Spot = "spot",
        /// The job as a whole.
        Job = "job",
    }
}

group! {
    /// What a photo or a note is pinned to.
    Pin {
        /// What sort of thing.
        what: PinKind,
        /// The room's link in the job.
        room: Option<ItemId>,
        /// The thing's id.
        item: Option<ItemId>,
        /// The point, in the room's plan coordinates.
        at: Option<At>,
    }
}

entry! {
    /// A photo: its bytes are a file by content hash beside the documents.
    Thing Photo in photos {
        /// The original's hash.
        hash: ContentHash,
        /// Its size in bytes.
        bytes: i64,
        /// Width in pixels, upright.
        width: Option<i64>,
        /// Height in pixels, upright.
        height: Option<i64>,
        /// When it was taken by the camera's clock, in ms since 1970.
        taken_ms: Option<i64>,
        /// What it is pinned to.
        pin: Option<Pin>,
        /// What is to be seen.
        caption: Option<String>,
        /// Whether it goes into the photo report.
        in_report: Option<bool>,
    }
}

words! {
    /// What is drawn upon a photo.
    MarkKind {
        /// An arrow along its points.
        Arrow = "arrow",
        /// A length between two points, with its figure.
        Figure = "figure",
        /// Words at a point.
        Words = "words",
        /// A free line.
        Line = "line",
    }
}

entry! {
    /// Something drawn upon a photo, which itself stays as it was.
    Thing PhotoMark in photo_marks {
        /// The photo.
        photo: ItemId,
        /// What it is.
        what: MarkKind,
        /// Its points in ten-thousandths of the upright photo's width and height.
        points: Vec<(i64, i64)>,
        /// Its words or figure.
        words: Option<String>,
    }
}

entry_set! {
    /// An entry of a job's document.
    JobEntry,
    /// A job's document as it stands.
    JobView for Job;
    /// What is said of the job once.
    Single JobFacts in facts;
    /// Rooms; [`JobView::room_list`] has them in order.
    Thing RoomLink in rooms;
    /// Passages between rooms.
    Thing Passage in passages;
    /// Areas laid as one field.
    Thing Area in areas;
    /// Accepted layouts.
    Record Choice in choices;
    /// Snapshots of the products used.
    Thing Product in products;
    /// Snapshots of the prices used.
    Thing Price in prices;
    /// Photos.
    Thing Photo in photos;
    /// What is drawn upon them.
    Thing PhotoMark in photo_marks;
    /// Notes.
    Thing Note in notes;
    /// Stages of the work.
    Thing Stage in stages;
    /// Gates passed with a reason.
    Record GatePass in gates;
    /// Deliveries.
    Thing Delivery in deliveries;
    /// Pieces laid, cut or set aside.
    Record PieceMark in pieces;
    /// Rows as they lie.
    Record RowMark in rows;
    /// Cut queue.
    Record CutMark in cuts;
    /// Problems on the floor.
    Thing Problem in problems;
    /// Lots by range of rows.
    Record LotUse in lots;
    /// Sections that wait.
    Thing Section in sections;
    /// Steps of a heated floor.
    Record HeatingStep in heating;
    /// Time spent.
    Record TimeSpent in time;
    /// Material used and broken.
    Record Expense in expenses;
    /// Issued plans, signed quotes, handovers.
    Record Frozen in frozen;
    /// Variants of the quote.
    Thing Variant in variants;
    /// Change orders.
    Thing ChangeOrder in change_orders;
    /// What the client confirmed.
    Record ClientAnswer in client_answers;
    /// The walk-through at handover.
    Thing WalkItem in walk;
    /// Call-backs.
    Thing Callback in callbacks;
}

impl JobFacts {
    /// A job of which nothing is said yet.
    pub fn unsaid() -> Self {
        Self {
            name: None,
            client: None,
            site: None,
            contact: None,
            units: None,
            year_built: None,
            lay_day: None,
            access: None,
            parking: None,
            lift: None,
            pets: None,
            hours: None,
            house_rules: None,
            sound_rating: None,
            permits: None,
            existing_damage: None,
            delivery: None,
            storage: None,
            moving: None,
            appliances: None,
            lock_codes: None,
            breakage_percent: None,
            attic_percent: None,
            quote: None,
            put_away: None,
        }
    }
}

impl JobView {
    /// The rooms in the order of the list: by place, then by id.
    pub fn room_list(&self) -> Vec<&crate::view::Held<RoomLink>> {
        let mut rooms: Vec<_> = self.rooms.live.iter().collect();
        rooms.sort_by(|a, b| (&a.value.place, &a.id).cmp(&(&b.value.place, &b.id)));
        rooms
    }

    /// The accepted layouts that stand for an area. More than one: people accepted different ones apart.
    pub fn choices_for(&self, area: &ItemId) -> Vec<&crate::view::Held<Choice>> {
        self.choices.live.iter().filter(|c| c.value.area == *area).collect()
    }
}
