//! Price lists and rates as CSV, in and out: the first line names the columns, in any order; commas or semicolons part
//! them; amounts have a decimal point. Every mistake is told with its line and column.

use super::{PriceRow, RateRow};
use crate::Problem;
use csv::{ReaderBuilder, StringRecord, Trim, Writer};
use rust_decimal::Decimal;

/// The most lines of a list.
const MOST_LINES: usize = 20_000;

/// The columns of a price list; the last two may be missing.
const PRICE_COLUMNS: [&str; 5] = ["item", "unit", "price", "since", "supplier"];
/// The columns of the rates.
const RATE_COLUMNS: [&str; 4] = ["task", "unit", "per_hour", "hourly"];

/// Reads a price list.
///
/// # Errors
/// Every mistake with its place.
pub fn read_prices(bytes: &[u8]) -> Result<Vec<PriceRow>, Vec<Problem>> {
    let mut table = Table::read(bytes, &PRICE_COLUMNS[..3])?;
    let mut rows: Vec<PriceRow> = Vec::new();
    for record in std::mem::take(&mut table.records) {
        let mut row = Row { table: &mut table, record: &record };
        let (item, unit) = (row.words("item"), row.words("unit"));
        let amount = row.amount("price");
        let (since, supplier) = (row.may("since"), row.may("supplier"));
        let (Some(item), Some(unit), Some(amount)) = (item, unit, amount) else { continue };
        if rows.iter().any(|known| known.item == item && known.unit == unit) {
            row.wrong("list.twice", "item", &item);
            continue;
        }
        rows.push(PriceRow { item, unit, amount, since, supplier });
    }
    table.ends(rows)
}

/// Reads production rates.
///
/// # Errors
/// Every mistake with its place.
pub fn read_rates(bytes: &[u8]) -> Result<Vec<RateRow>, Vec<Problem>> {
    let mut table = Table::read(bytes, &RATE_COLUMNS)?;
    let mut rows: Vec<RateRow> = Vec::new();
    for record in std::mem::take(&mut table.records) {
        let mut row = Row { table: &mut table, record: &record };
        let (task, unit) = (row.words("task"), row.words("unit"));
        let (per_hour, hourly) = (row.amount("per_hour"), row.amount("hourly"));
        let (Some(task), Some(unit), Some(per_hour), Some(hourly)) = (task, unit, per_hour, hourly) else {
            continue;
        };
        if per_hour.is_zero() {
            row.wrong("list.nought", "per_hour", "0");
        } else if rows.iter().any(|known| known.task == task) {
            row.wrong("list.twice", "task", &task);
        } else {
            rows.push(RateRow { task, unit, per_hour, hourly });
        }
    }
    table.ends(rows)
}

/// Writes a price list.
pub fn write_prices(rows: &[PriceRow]) -> String {
    let cells = |row: &PriceRow| {
        let amount = row.amount.to_string();
        [row.item.clone(), row.unit.clone(), amount, row.since.clone(), row.supplier.clone()]
    };
    written(&PRICE_COLUMNS, rows.iter().map(cells))
}

/// Writes production rates.
pub fn write_rates(rows: &[RateRow]) -> String {
    let cells = |row: &RateRow| {
        [row.task.clone(), row.unit.clone(), row.per_hour.to_string(), row.hourly.to_string()]
    };
    written(&RATE_COLUMNS, rows.iter().map(cells))
}

/// Writes lines under their columns.
pub(crate) fn written<const N: usize>(
    columns: &[&str; N],
    rows: impl Iterator<Item = [String; N]>,
) -> String {
    let mut writer = Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    let _ = writer.write_record(columns);
    for row in rows {
        let _ = writer.write_record(row);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// A list taken apart, with the mistakes that were found.
struct Table {
    columns: Vec<String>,
    records: Vec<StringRecord>,
    problems: Vec<Problem>,
}

impl Table {
    fn read(bytes: &[u8], needed: &[&str]) -> Result<Self, Vec<Problem>> {
        let text = std::str::from_utf8(bytes)
            .map_err(|error| vec![Problem::new("list.not_utf8", line_at(bytes, error.valid_up_to()))])?;
        let text = text.trim_start_matches('\u{feff}');
        let head = text.lines().next().unwrap_or_default();
        let delimiter = if head.contains(';') && !head.contains(',') { b';' } else { b',' };
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter)
            .trim(Trim::All)
            .flexible(true)
            .from_reader(text.as_bytes());
        let broken = |error: csv::Error| {
            let line = error.position().map_or(1, csv::Position::line);
            vec![Problem::new("list.broken", format!("line {line}")).with("why", error)]
        };
        let columns: Vec<String> = reader.headers().map_err(broken)?.iter().map(str::to_lowercase).collect();
        let missing = needed.iter().filter(|name| !columns.iter().any(|c| c == *name));
        let problems: Vec<Problem> = missing
            .map(|name| {
                let problem = Problem::new("list.no_column", "line 1").with("column", name);
                problem.with("found", columns.join(", "))
            })
            .collect();
        if !problems.is_empty() {
            return Err(problems);
        }
        let mut records = Vec::new();
        for record in reader.records() {
            if records.len() == MOST_LINES {
                let place = format!("line {}", MOST_LINES + 2);
                return Err(vec![Problem::new("list.too_long", place).with("most", MOST_LINES)]);
            }
            records.push(record.map_err(broken)?);
        }
        Ok(Self { columns, records, problems })
    }

    fn ends<T>(self, rows: Vec<T>) -> Result<Vec<T>, Vec<Problem>> {
        if self.problems.is_empty() { Ok(rows) } else { Err(self.problems) }
    }
}

/// The line of a byte, from 1.
fn line_at(bytes: &[u8], at: usize) -> String {
    format!("line {}", bytes.iter().take(at).filter(|b| **b == b'\n').count() + 1)
}

/// A line of a list.
struct Row<'t> {
    table: &'t mut Table,
    record: &'t StringRecord,
}

impl Row<'_> {
    fn wrong(&mut self, code: &str, column: &str, found: &str) {
        let line = self.record.position().map_or(0, csv::Position::line);
        let shown: String = found.chars().take(60).collect();
        let problem = Problem::new(code, format!("line {line}, {column}")).with("found", shown);
        self.table.problems.push(problem);
    }

    fn may(&self, column: &str) -> String {
        let at = self.table.columns.iter().position(|c| c == column);
        at.and_then(|at| self.record.get(at)).unwrap_or_default().to_owned()
    }

    fn words(&mut self, column: &str) -> Option<String> {
        let text = self.may(column);
        if text.is_empty() || text.chars().count() > 200 || text.chars().any(char::is_control) {
            self.wrong("list.no_words", column, &text);
            return None;
        }
        Some(text)
    }

    fn amount(&mut self, column: &str) -> Option<Decimal> {
        let text = self.may(column);
        if text.contains(',') {
            self.wrong("list.comma", column, &text);
            return None;
        }
        let plain =
            !text.is_empty() && text.len() <= 20 && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let found = plain.then(|| text.parse().ok()).flatten();
        if found.is_none() {
            self.wrong("list.no_amount", column, &text);
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mistakes of a price list as `code at place`.
    fn mistakes(bytes: &[u8]) -> Vec<String> {
        let found = read_prices(bytes).err().unwrap_or_default();
        found.iter().map(|p| format!("{} at {}", p.code, p.place)).collect()
    }

    #[test]
    fn a_list_is_read_and_written_with_any_name() {
        let text = "\u{feff}Supplier,ITEM,price,unit\r\n\"Größe, Söhne & 石\",field-tile,38.20,carton\n,\"a \"\"b\"\"\",0.5,kg\n";
        let rows = read_prices(text.as_bytes()).expect("a list");
        assert_eq!((rows[0].item.as_str(), rows[0].supplier.as_str()), ("field-tile", "Größe, Söhne & 石"));
        assert_eq!((rows[1].item.as_str(), rows[1].amount), ("a \"b\"", Decimal::new(5, 1)));
        assert_eq!(read_prices(write_prices(&rows).as_bytes()), Ok(rows));
        let semicolons = read_prices(b"item;unit;price\nx;kg;1.00\n").expect("a list");
        assert_eq!(write_prices(&semicolons), "item,unit,price,since,supplier\nx,kg,1.00,,\n");
    }

    #[test]
    fn every_mistake_of_a_list_has_its_place() {
        assert_eq!(mistakes(b"item,price\nx,1\n"), ["list.no_column at line 1"]);
        assert_eq!(mistakes(b""), ["list.no_column at line 1"; 3]);
        let text =
            "item;unit;price\nx;kg;38,20\n;kg;1.00\n\"x\ny\";kg;1\ny;kg;-1\nz;kg\nz;kg;1e3\nw;kg;7\nw;kg;7\n";
        assert_eq!(
            mistakes(text.as_bytes()),
            [
                "list.comma at line 2, price",
                "list.no_words at line 3, item",
                "list.no_words at line 4, item",
                "list.no_amount at line 6, price",
                "list.no_amount at line 7, price",
                "list.no_amount at line 8, price",
                "list.twice at line 10, item",
            ]
        );
        assert_eq!(mistakes(b"item,unit,price\nx,kg,1\n\xff,kg,1\n"), ["list.not_utf8 at line 3"]);
        let long = format!("item,unit,price\n{}", "x,kg,1\n".repeat(MOST_LINES + 1));
        assert_eq!(mistakes(long.as_bytes()), ["list.too_long at line 20002"]);
    }

    #[test]
    fn a_pace_of_nothing_is_none() {
        let rates = read_rates(b"task,unit,per_hour,hourly\nlay,m2,2.4,62.50\n").expect("rates");
        assert_eq!((rates[0].per_hour, rates[0].hourly), (Decimal::new(24, 1), Decimal::new(6250, 2)));
        assert_eq!(write_rates(&rates), "task,unit,per_hour,hourly\nlay,m2,2.4,62.50\n");
        let wrong = read_rates(b"task,unit,per_hour,hourly\nlay,m2,0,1\n").expect_err("no pace");
        assert_eq!((wrong[0].code.as_str(), wrong[0].place.as_str()), ("list.nought", "line 2, per_hour"));
    }
}
