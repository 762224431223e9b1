//! The command table: every name once, with what it is given, what it answers, and what it makes stale. From it
//! come the dispatch and the TypeScript client, so that the two cannot differ.

use crate::Problem;
use crate::commands::{
    books, bring, buy, call, callback, crew, day, device, drafts, floor, ground, grout, handover, history,
    issues, jobs, learned, money_edit, papers, parts, photos, plan, prefer, quote, room, setting, sheets,
    shop, stages, time, undo, walk, work,
};
use crate::session::Session;
use crate::wire::{
    AreaSet, BackupAsk, BackupDone, BooksRead, BooksView, BuyView, CallSet, CallView, CallbackAsk,
    CallbackSet, CallbackView, CheckView, ClientConfirmed, CrewAnswer, CrewInvite, CrewJoin, CrewView,
    DayNoteAsk, DayNoteKeep, DayNoteView, DeviceRename, DeviceSpeak, DeviceView, Done, DraftPut, Drafts,
    FileBring, FileBrought, FloorAsk, FloorEditAsk, FloorView, GapCut, GatePassed, GroundEditAsk, GroundView,
    GroutAsk, GroutDone, GroutSays, GroutUndone, GroutView, HandOverDone, HandOverRead, HandOverWrite,
    HeatingLog, HistoryAsk, HistoryView, IssueList, JobCard, JobCreate, JobEdit, JobList, JobView,
    LastTileAsk, LastTileView, LearnedTake, LearnedView, LengthAsk, MoneyEditAsk, NoteSet, Nothing, OfArea,
    OfDevice, OfJob, OfJobItem, OfRoom, OfTask, PapersMake, PapersShow, PapersSize, PapersView, PassageSet,
    PhotoEdit, PhotoList, PhotoMarkAdd, PhotosAdd, PieceAsk, PieceCard, PitchMeasured, PlanAccept, PlanAsk,
    PlanCompare, PlanComparison, PlanFix, PlanView, PreferSet, PreferView, ProductSet, QuoteFreeze,
    QuoteLineAdd, QuoteSet, QuoteView, ReportText, RoomAdd, RoomEditAsk, RoomView, RowMeasured, RowReadingOf,
    SettingOutView, Settle, SheetAsk, SheetText, ShopEdit, ShopView, StageSet, StagesView, StraightedgeAsk,
    StraightedgeView, TaskView, TimeAdd, TimeSettle, TimeStart, TimeStop, TimeUsed, TimeView, Typed,
    WalkLooked, WalkSet, WalkSign, WalkView, WorkAsk, WorkBroken, WorkDelivery, WorkForget, WorkGap, WorkLot,
    WorkMark, WorkNoted, WorkPieceAsk, WorkView,
};
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Whether a command changes anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// It only looks.
    Reads,
    /// It writes: to documents, or to what this device keeps.
    Writes,
}

/// What a command makes stale: answers that screens should ask for again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stale {
    /// The list of jobs.
    Jobs,
    /// The job, its rooms and its plans.
    Job,
    /// What this device says of itself.
    Device,
    /// What the shop says: its rates and tiles.
    Shop,
    /// The crew.
    Crew,
}

/// A command.
#[derive(Clone, Copy)]
pub struct Command {
    /// Its name, such as `room.edit`.
    pub name: &'static str,
    /// Whether it changes anything.
    pub access: Access,
    /// What it makes stale.
    pub stale: &'static [Stale],
    /// Does it.
    pub run: fn(&Session, Value) -> Result<Value, Problem>,
    /// The TypeScript names of what it is given and what it answers.
    pub types: fn() -> (String, String),
}

impl std::fmt::Debug for Command {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {:?} {:?}", self.name, self.access, self.stale)
    }
}

macro_rules! commands {
    ($($name:literal: $ask:ident => $answer:ident, $access:ident [$($stale:ident),*], $run:path;)+) => {
        /// All commands, by name within their areas.
        pub const COMMANDS: &[Command] = &[$(Command {
            name: $name,
            access: Access::$access,
            stale: &[$(Stale::$stale),*],
            run: |session, args| answer($run(session, request::<$ask>(args)?)),
            types: || {
                let config = ts_rs::Config::default();
                (<$ask as ts_rs::TS>::name(&config), <$answer as ts_rs::TS>::name(&config))
            },
        }),+];
    };
}

commands! {
    "jobs.list": Nothing => JobList, Reads [], jobs::list;
    "jobs.create": JobCreate => JobCard, Writes [Jobs], jobs::create;
    "jobs.edit": JobEdit => JobView, Writes [Jobs, Job], jobs::edit;
    "jobs.import": SheetAsk => JobCard, Writes [Jobs], sheets::import;
    "jobs.export": OfJob => SheetText, Reads [], sheets::export;
    "jobs.demo": Nothing => JobCard, Writes [Jobs], sheets::demo_job;
    "job.view": OfJob => JobView, Reads [], jobs::view;
    "job.settle": Settle => JobView, Writes [Jobs, Job], jobs::settle;
    "rooms.add": RoomAdd => RoomView, Writes [Jobs, Job], parts::add_room;
    "rooms.remove": OfRoom => JobView, Writes [Jobs, Job], parts::remove_room;
    "passages.set": PassageSet => JobView, Writes [Job], parts::set_passage;
    "passages.remove": OfJobItem => JobView, Writes [Job], parts::remove_passage;
    "areas.set": AreaSet => JobView, Writes [Jobs, Job], parts::set_area;
    "areas.remove": OfJobItem => JobView, Writes [Jobs, Job], parts::remove_area;
    "products.set": ProductSet => JobView, Writes [Jobs, Job], parts::set_product;
    "products.take": OfJobItem => JobView, Writes [Jobs, Job], shop::take;
    "room.view": OfRoom => RoomView, Reads [], room::view;
    "room.edit": RoomEditAsk => RoomView, Writes [Jobs, Job], room::edit;
    "floor.view": FloorAsk => FloorView, Reads [], floor::view;
    "floor.edit": FloorEditAsk => FloorView, Writes [Jobs, Job], floor::edit;
    "floor.judge": OfRoom => TaskView, Reads [], floor::judge;
    "floor.correct": FloorAsk => TaskView, Reads [], floor::correct;
    "floor.lay_edge": StraightedgeAsk => StraightedgeView, Reads [], floor::lay_edge;
    "base.view": OfRoom => GroundView, Reads [], ground::base_view;
    "base.edit": GroundEditAsk => GroundView, Writes [Jobs, Job], ground::base_edit;
    "heights.view": OfRoom => GroundView, Reads [], ground::heights_view;
    "heights.edit": GroundEditAsk => GroundView, Writes [Jobs, Job], ground::heights_edit;
    "length.read": LengthAsk => Typed, Reads [], drafts::read_length;
    "draft.put": DraftPut => Done, Writes [], drafts::put;
    "draft.list": Nothing => Drafts, Reads [], drafts::list;
    "plan.view": PlanAsk => PlanView, Reads [], plan::view;
    "plan.search": OfArea => TaskView, Reads [], plan::search;
    "plan.accept": PlanAccept => PlanView, Writes [Jobs, Job], plan::accept;
    "plan.compare": PlanCompare => PlanComparison, Reads [], plan::compare;
    "plan.fix": PlanFix => PlanView, Reads [], plan::fix;
    "prefer.view": OfArea => PreferView, Reads [], prefer::view;
    "prefer.set": PreferSet => PreferView, Writes [Jobs, Job], prefer::set;
    "issues.list": OfArea => IssueList, Reads [], issues::list;
    "issues.make": OfArea => IssueList, Writes [Job], issues::issue;
    "task.cancel": OfTask => Done, Reads [], plan::cancel;
    "piece.view": PieceAsk => PieceCard, Reads [], plan::piece;
    "plan.set_out": OfArea => SettingOutView, Reads [], setting::setting_out;
    "plan.last_tile": LastTileAsk => LastTileView, Reads [], setting::last_tile;
    "pitch.measure": PitchMeasured => SettingOutView, Writes [Jobs, Job], setting::measure_pitch;
    "rows.measure": RowMeasured => SettingOutView, Writes [Jobs, Job], setting::measure_row;
    "rows.forget": RowReadingOf => SettingOutView, Writes [Jobs, Job], setting::forget_row;
    "buy.entry": MoneyEditAsk => BuyView, Writes [Jobs, Job], money_edit::buy_entry;
    "buy.view": OfJob => BuyView, Reads [], buy::view;
    "buy.count": OfJob => TaskView, Reads [], buy::count;
    "quote.view": OfJob => QuoteView, Reads [], quote::view;
    "quote.count": OfJob => TaskView, Reads [], buy::count_for_quote;
    "quote.set": QuoteSet => QuoteView, Writes [Job], quote::set;
    "quote.entry": MoneyEditAsk => QuoteView, Writes [Jobs, Job], money_edit::quote_entry;
    "quote.line": QuoteLineAdd => QuoteView, Writes [Job], quote::add_line;
    "quote.freeze": QuoteFreeze => QuoteView, Writes [Job], quote::freeze;
    "papers.view": OfJob => PapersView, Reads [], papers::view;
    "papers.make": PapersMake => TaskView, Writes [], papers::make;
    "papers.size": PapersSize => PapersView, Writes [], papers::set_size;
    "papers.show": PapersShow => Done, Reads [], papers::show;
    "books.view": Nothing => BooksView, Reads [], books::view;
    "books.read": BooksRead => BooksView, Writes [Shop], books::read;
    "call.view": OfJob => CallView, Reads [], call::view;
    "call.set": CallSet => CallView, Writes [Job], call::set;
    "photos.list": OfJob => PhotoList, Reads [], photos::list;
    "photos.add": PhotosAdd => TaskView, Writes [Job], photos::add;
    "photos.edit": PhotoEdit => PhotoList, Writes [Job], photos::edit;
    "photos.remove": OfJobItem => PhotoList, Writes [Job], photos::remove;
    "photos.draw": PhotoMarkAdd => PhotoList, Writes [Job], photos::draw;
    "photos.wipe": OfJobItem => PhotoList, Writes [Job], photos::wipe;
    "notes.set": NoteSet => PhotoList, Writes [Job], photos::set_note;
    "notes.remove": OfJobItem => PhotoList, Writes [Job], photos::remove_note;
    "work.view": WorkAsk => WorkView, Reads [], work::view;
    "work.mark": WorkMark => WorkView, Writes [Job], work::mark;
    "work.piece": WorkPieceAsk => PieceCard, Reads [], work::piece;
    "work.gap": WorkGap => GapCut, Writes [Job], work::gap;
    "work.note": WorkNoted => WorkView, Writes [Job], work::note;
    "work.lot": WorkLot => WorkView, Writes [Job], work::lot;
    "work.deliver": WorkDelivery => WorkView, Writes [Job], work::deliver;
    "work.broken": WorkBroken => WorkView, Writes [Job], work::broken;
    "work.forget": WorkForget => WorkView, Writes [Job], work::forget;
    "grout.view": GroutAsk => GroutView, Reads [], grout::view;
    "grout.done": GroutDone => GroutView, Writes [Job], grout::done;
    "grout.undone": GroutUndone => GroutView, Writes [Job], grout::undone;
    "grout.says": GroutSays => GroutView, Writes [Job], grout::says;
    "stages.view": OfJob => StagesView, Reads [], stages::view;
    "stages.set": StageSet => StagesView, Writes [Job], stages::set;
    "stages.pass": GatePassed => StagesView, Writes [Job], stages::pass;
    "stages.confirm": ClientConfirmed => StagesView, Writes [Job], stages::confirm;
    "stages.forget": OfJobItem => StagesView, Writes [Job], stages::forget;
    "heating.log": HeatingLog => StagesView, Writes [Job], stages::heating;
    "day.view": DayNoteAsk => DayNoteView, Reads [], day::view;
    "day.keep": DayNoteKeep => DayNoteView, Writes [Job], day::keep;
    "time.view": OfJob => TimeView, Reads [], time::view;
    "time.start": TimeStart => TimeView, Writes [Job], time::start;
    "time.stop": TimeStop => TimeView, Writes [Job], time::stop;
    "time.add": TimeAdd => TimeView, Writes [Job], time::add;
    "time.settle": TimeSettle => TimeView, Writes [Job], time::settle;
    "time.used": TimeUsed => TimeView, Writes [Job], time::used;
    "time.forget": OfJobItem => TimeView, Writes [Job], time::forget;
    "learned.view": Nothing => LearnedView, Reads [], learned::view;
    "learned.take": LearnedTake => LearnedView, Writes [Shop, Job], learned::take;
    "walk.view": OfJob => WalkView, Reads [], walk::view;
    "walk.set": WalkSet => WalkView, Writes [Job], walk::set;
    "walk.look": WalkLooked => WalkView, Writes [Job], walk::look;
    "walk.forget": OfJobItem => WalkView, Writes [Job], walk::forget;
    "walk.sign": WalkSign => WalkView, Writes [Job], walk::sign;
    "callback.view": CallbackAsk => CallbackView, Reads [], callback::view;
    "callback.set": CallbackSet => CallbackView, Writes [Job], callback::set;
    "edit.undo": OfJob => JobView, Writes [Jobs, Job], undo::undo;
    "edit.redo": OfJob => JobView, Writes [Jobs, Job], undo::redo;
    "history.list": HistoryAsk => HistoryView, Reads [], history::list;
    "shop.view": Nothing => ShopView, Reads [], shop::view;
    "shop.edit": ShopEdit => ShopView, Writes [Shop, Job], shop::edit;
    "shop.keep": OfJobItem => ShopView, Writes [Shop], shop::keep;
    "device.view": Nothing => DeviceView, Reads [], device::view;
    "device.rename": DeviceRename => DeviceView, Writes [Device], device::rename;
    "device.speak": DeviceSpeak => DeviceView, Writes [Device], device::speak;
    "report.clear": Nothing => DeviceView, Writes [Device], device::clear_report;
    "report.anonymised": OfJob => ReportText, Reads [], device::anonymised;
    "files.bring": FileBring => FileBrought, Writes [Jobs, Job], bring::bring;
    "handover.write": HandOverWrite => BackupDone, Reads [], handover::write;
    "handover.read": HandOverRead => HandOverDone, Writes [Jobs, Job], handover::read;
    "crew.view": Nothing => CrewView, Reads [], crew::view;
    "crew.invite": CrewInvite => CrewView, Writes [Crew], crew::invite;
    "crew.agree": Nothing => CrewView, Writes [Crew], crew::agree;
    "crew.close": Nothing => CrewView, Writes [Crew], crew::close;
    "crew.answer": CrewAnswer => CrewView, Writes [Crew], crew::answer;
    "crew.join": CrewJoin => CrewView, Writes [Crew], crew::join;
    "crew.remove": OfDevice => CrewView, Writes [Crew], crew::remove;
    "crew.leave": Nothing => CrewView, Writes [Crew], crew::leave;
    "store.check": Nothing => CheckView, Reads [], device::check;
    "store.backup": BackupAsk => BackupDone, Reads [], device::backup;
}

/// The command of that name.
pub fn find(name: &str) -> Option<&'static Command> {
    COMMANDS.iter().find(|command| command.name == name)
}

fn request<T: DeserializeOwned>(args: Value) -> Result<T, Problem> {
    serde_json::from_value(args).map_err(|error| Problem::new("command.args", "").with("why", error))
}

fn answer<T: Serialize>(answer: Result<T, Problem>) -> Result<Value, Problem> {
    serde_json::to_value(answer?).map_err(|error| Problem::internal(&error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_stands_once_and_only_writing_makes_stale() {
        let mut names: Vec<&str> = COMMANDS.iter().map(|command| command.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), COMMANDS.len());
        assert!(COMMANDS.iter().all(|c| c.access == Access::Writes || c.stale.is_empty()));
    }
}
