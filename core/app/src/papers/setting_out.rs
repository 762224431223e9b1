//! The setting-out sheet: where the chalk line goes, what checks it, and the rows that follow from it.

use super::setter::{PART_OF_PAGE, Setter, figure, plan_items, plan_page, room_names, walls};
use crate::answers::{PlanArea, SettingOutAnswer};
use crate::views::floor::fine;
use crate::words::say;
use drylay_papers::PlanDrawing;
use drylay_papers::paper::{Block, Column, Fact, Item, Paper, Row, Stroke, Table, Tone};

/// Doubts up to this are not told, mm.
const LEAST_SHOWN: f64 = 0.4;

/// The setting-out sheet; `None` where nothing is planned.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    if setter.areas.is_empty() {
        return None;
    }
    let mut blocks = Vec::new();
    for (_, wire, drawn) in &setter.areas {
        blocks.extend(setter.area_heading(drawn));
        match &wire.setting_out {
            Some(set) => blocks.extend(line(setter, drawn, set)),
            None => blocks.push(Block::Text(say("paper.set.none", &[]))),
        }
        blocks.push(rows(setter, wire));
        if !wire.movement_joints.is_empty() {
            blocks.push(Block::Text(say(
                "paper.set.joints",
                &[("n", &wire.movement_joints.len().to_string())],
            )));
        }
        blocks.push(plan_page(say("paper.set.plan", &[("rooms", &drawn.title)]), drawn));
    }
    Some(setter.paper("paper.set", Vec::new(), blocks))
}

fn line(setter: &Setter<'_>, drawn: &PlanDrawing, set: &SettingOutAnswer) -> Vec<Block> {
    let mark = |label: String, at: &crate::answers::FromWallAnswer| Fact {
        label,
        value: say("paper.set.off", &[("off", &setter.planned(at.off))]),
        note: say(
            "paper.set.along",
            &[
                ("along", &setter.planned(at.along)),
                ("left", &at.wall[0]),
                ("right", &at.wall[1]),
                ("room", &setter.room(&at.room)),
            ],
        ),
    };
    let number = |n: usize| say("paper.set.mark", &[("n", &n.to_string())]);
    let check = Fact {
        label: say("paper.set.check", &[]),
        value: setter.planned(set.check.reads),
        note: say(
            "chalk.check",
            &[
                ("mark", &set.check.mark.to_string()),
                ("corner", &set.check.corner),
                ("room", &setter.room(&set.check.room)),
            ],
        ),
    };
    let mut blocks = vec![
        Block::Text(say("chalk.line", &[("row", &set.row.to_string())])),
        Block::Facts(vec![
            mark(number(1), &set.marks[0]),
            mark(number(2), &set.marks[1]),
            check,
            mark(say("paper.set.first_joint", &[]), &set.first_joint),
        ]),
        figure(items(setter, drawn, set), say("paper.set.figure", &[]), PART_OF_PAGE),
        ends(setter, set),
    ];
    blocks.extend(spacers(setter, set));
    blocks
}

fn items(setter: &Setter<'_>, drawn: &PlanDrawing, set: &SettingOutAnswer) -> Vec<Item> {
    let mut items = plan_items(drawn, false);
    items.extend(walls(drawn));
    items.extend(room_names(drawn));
    items.extend(corners(setter, drawn));
    items.push(Item::Line { ends: set.line, stroke: Stroke::of(Tone::Accent, 1.6) });
    let label = |at, words: String, tone| Item::Label {
        at,
        words,
        size: 12.0,
        room: None,
        tone,
        offset: [-8.0, -8.0],
    };
    for (n, mark) in set.marks.iter().enumerate() {
        items.push(Item::Mark { at: mark.at, tone: Tone::Accent });
        items.push(label(mark.at, (n + 1).to_string(), Tone::Accent));
    }
    items.push(Item::Mark { at: set.first_joint.at, tone: Tone::Ink });
    items.push(label(set.first_joint.at, say("paper.set.joint_letter", &[]), Tone::Ink));
    items
}

/// The letters of the corners.
fn corners(setter: &Setter<'_>, drawn: &PlanDrawing) -> Vec<Item> {
    let areas = setter.areas.iter().find(|(_, _, other)| other == drawn);
    let rooms = areas.into_iter().flat_map(|(area, _, _)| &area.field.rooms);
    let letter = |corner: &drylay_geometry::Corner, middle: [f64; 2]| {
        let at = super::drawing::mm(corner.at);
        // Towards the middle of the room, so that two rooms' letters at one wall stand apart.
        let towards = |k: usize| if middle[k] > at[k] { 9.0 } else { -9.0 };
        Item::Label {
            at,
            words: corner.id.to_string(),
            size: 9.0,
            room: None,
            tone: Tone::Soft,
            offset: [towards(0) * 0.5, towards(1)],
        }
    };
    let mut items = Vec::new();
    for room in rooms {
        let corners = room.outline.corners();
        let n = corners.len().max(1) as f64;
        let sum = corners
            .iter()
            .map(|c| super::drawing::mm(c.at))
            .fold([0.0; 2], |s, p| [s[0] + p[0], s[1] + p[1]]);
        items.extend(corners.iter().map(|corner| letter(corner, [sum[0] / n, sum[1] / n])));
    }
    items
}

/// The first and the last row at both ends.
fn ends(setter: &Setter<'_>, set: &SettingOutAnswer) -> Block {
    let sure = |width: &crate::answers::WidthAnswer| {
        let sd = width.sd.filter(|sd| *sd > LEAST_SHOWN);
        let sd = sd.map_or_else(String::new, |sd| format!("\n± {}", fine(setter.units, sd)));
        format!("{}{sd}", setter.planned(width.width))
    };
    let row =
        |r: &crate::answers::RowEndsAnswer| Row::of(vec![r.row.to_string(), sure(&r.start), sure(&r.end)]);
    Block::Table(Table {
        columns: vec![
            Column::figures(say("paper.column.row", &[])),
            Column::figures(say("paper.column.at_start", &[])),
            Column::figures(say("paper.column.at_end", &[])),
        ],
        rows: set.rows.iter().map(row).collect(),
    })
}

fn spacers(setter: &Setter<'_>, set: &SettingOutAnswer) -> Vec<Block> {
    let Some(s) = &set.spacers else { return Vec::new() };
    let words = if s.even { "chalk.even" } else { "chalk.spacers" };
    let [left, right] = &s.wall;
    let (row, rip) = (s.row.to_string(), setter.planned(s.rip));
    let text = say(words, &[("left", left), ("right", right), ("row", &row), ("rip", &rip)]);
    let mut blocks = vec![Block::Text(text)];
    if !s.even {
        let stack = |stack: &crate::answers::StackAnswer, code: Option<&str>| {
            let note = code.map(|code| say(code, &[])).unwrap_or_default();
            Row::of(vec![setter.planned(stack.along), setter.planned(stack.gap), note])
        };
        let shows = |s: &crate::answers::StackAnswer| (s.shows == Some(true)).then_some("chalk.shows");
        let mut rows: Vec<Row> = s.stacks.iter().map(|one| stack(one, shows(one))).collect();
        rows.extend(s.tight.iter().map(|one| stack(one, Some("chalk.tight"))));
        blocks.push(Block::Table(Table {
            columns: vec![
                Column::figures(say("paper.column.along_line", &[])),
                Column::figures(say("paper.column.spacer", &[])),
                Column::words(String::new(), 1.0),
            ],
            rows,
        }));
    }
    blocks
}

/// All rows with their widths, and how many pieces lie in each.
fn rows(setter: &Setter<'_>, wire: &PlanArea) -> Block {
    let row = |row: &crate::answers::PlanRowAnswer| {
        let pieces = wire.pieces.iter().filter(|piece| piece.row == row.row);
        let (all, cut) =
            pieces.fold((0, 0), |(all, cut), piece| (all + 1, cut + usize::from(piece.cut != "whole")));
        Row::of(vec![row.row.to_string(), setter.planned(row.width), all.to_string(), cut.to_string()])
    };
    Block::Table(Table {
        columns: vec![
            Column::figures(say("paper.column.row", &[])),
            Column::figures(say("paper.column.width", &[])),
            Column::figures(say("paper.column.pieces", &[])),
            Column::figures(say("paper.column.of_them_cut", &[])),
        ],
        rows: wire.rows.iter().map(row).collect(),
    })
}
