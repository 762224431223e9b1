//! `drylay`: the core on the command line. Reads a job sheet, answers one JSON document on standard output.
//!
//! Exit codes: 0 computed, whatever the verdict; 2 the sheet is wrong, every mistake with its place on standard
//! error and nothing on standard output; 1 anything else that failed.
//!
//! Everything is asked of `drylay_app`: sheets by its `answers`, stores by its `Session`, with `drylay_press` to set papers
//! and `drylay_transport` to meet the crew (`crew`, `store`). `words` says an answer for a person (`--words`).

mod crew;
mod reach;
mod store;
mod words;

use clap::{Parser, Subcommand};
use drylay_app::answers::{self, Answer};
use drylay_app::books::{Books, read_prices, read_rates};
use drylay_app::papers::{Size, Wish, papers as make_papers, write_all};
use drylay_app::{Problem, read_sheet, schema};
use serde::Serialize;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

/// Papers allocate by the million, which took a fifth of their time with the allocator of the C library.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Plans hard floors from a job sheet: rooms go in; pieces, tiles and cartons come out.
///
/// A job sheet is one JSON file with products, rooms and areas. Lengths are numbers of millimetres or texts such
/// as 12' 3 1/2", 147 5/8" or 3.745 m. Start from the demo:
///
///     drylay demo here          writes here/demo.json
///     drylay plan here/demo.json --words
///
/// Answers are JSON on standard output; messages go to standard error. Exit 0: computed, whatever the verdict.
/// Exit 2: the sheet is wrong, each mistake with its place. Exit 1: anything else that failed.
#[derive(Parser)]
#[command(name = "drylay", version, verbatim_doc_comment, arg_required_else_help = true)]
struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// What the tape readings say of each room: corners, how sure, what is suspect, what to measure next
    Survey(Sheet),
    /// Whether each floor is flat enough, where it is worst, and the cheapest correction
    Flatness(Sheet),
    /// What carries each floor: moisture, what lies there, joists, hazards, underlayment
    Subfloor(Sheet),
    /// Heights of the whole house: transitions, doors, things at a height, and what limits the stack
    Heights(Sheet),
    /// Rows, pieces, cuts and tiles of every area
    Plan(Sheet),
    /// What to buy, each line with the figures it came from
    Takeoff(Sheet),
    /// What the job costs: lines, terms, variants, the likely and the bad case
    Price {
        #[command(flatten)]
        sheet: Sheet,
        #[command(flatten)]
        books: BookLists,
        /// Write the lines of all quotes as CSV instead of JSON
        #[arg(long)]
        csv: bool,
    },
    /// Write the job's papers into a folder: PDF, plans as DXF and SVG, lists as CSV
    Papers {
        /// The job sheet, or - for standard input
        sheet: PathBuf,
        /// The folder; made if it is not there
        #[arg(long)]
        out: PathBuf,
        #[command(flatten)]
        books: BookLists,
        /// The size of the sheets; by the job's units if left out
        #[arg(long, value_enum)]
        paper: Option<PaperSize>,
        /// The day that stands on the papers
        #[arg(long, default_value = "")]
        day: String,
        /// Who gives them out
        #[arg(long, default_value = "")]
        shop: String,
        /// Only files of these kinds: pdf, dxf, svg, csv, json, with commas between
        #[arg(long, value_delimiter = ',')]
        only: Vec<String>,
    },
    /// Write the demo job sheet into a folder
    Demo {
        /// The folder; made if it is not there
        dir: PathBuf,
    },
    /// Print the JSON Schema of the job sheet
    Schema,
    #[command(flatten)]
    Store(store::Command),
}

#[derive(clap::Args)]
struct Sheet {
    /// The job sheet, or - for standard input
    sheet: PathBuf,
    /// Say it in words for a person instead of JSON
    #[arg(long)]
    words: bool,
}

/// The size of the sheets.
#[derive(Clone, Copy, clap::ValueEnum)]
enum PaperSize {
    /// 8 1/2 by 11 in
    Letter,
    /// 210 by 297 mm
    A4,
}

#[derive(clap::Args)]
struct BookLists {
    /// A price list as CSV: item, unit, price, and if wished since and supplier
    #[arg(long)]
    prices: Option<PathBuf>,
    /// Production rates as CSV: task, unit, per_hour, hourly
    #[arg(long)]
    rates: Option<PathBuf>,
}

impl BookLists {
    fn read(&self) -> Result<Books, Failure> {
        Ok(Books {
            prices: list(self.prices.as_deref(), read_prices)?,
            rates: list(self.rates.as_deref(), read_rates)?,
        })
    }
}

/// Why the program ends without an answer.
enum Failure {
    /// The sheet is wrong.
    Sheet(Vec<Problem>),
    /// Anything else.
    Other(String),
}

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(e) => {
            let help = !e.use_stderr();
            let told = e.print();
            return if help && told.is_ok() { ExitCode::SUCCESS } else { ExitCode::FAILURE };
        }
    };
    match run(args.command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure::Sheet(problems)) => {
            let count = problems.len();
            for problem in problems {
                complain(&problem.to_string());
            }
            complain(&format!(
                "{count} {} in the sheet; nothing was computed.",
                if count == 1 { "mistake" } else { "mistakes" }
            ));
            ExitCode::from(2)
        }
        Err(Failure::Other(message)) => {
            complain(&message);
            ExitCode::FAILURE
        }
    }
}

fn run(command: Command) -> Result<(), Failure> {
    match command {
        Command::Survey(sheet) => sheet.answer(answers::survey, words::survey),
        Command::Flatness(sheet) => sheet.answer(|s| answers::flatness(s, &mut deadline()), words::flatness),
        Command::Subfloor(sheet) => sheet.answer(answers::subfloor, words::subfloor),
        Command::Heights(sheet) => sheet.answer(answers::heights, words::heights),
        Command::Plan(sheet) => sheet.answer(|s| answers::plan(s, &mut deadline()), words::plan),
        Command::Takeoff(sheet) => sheet.answer(|s| answers::takeoff(s, &mut deadline()), words::takeoff),
        Command::Price { sheet, books, csv } => {
            let books = books.read()?;
            let price = |s: &drylay_app::Sheet| answers::price(s, &books, &mut deadline());
            if csv {
                return sheet.csv(price, |answer| answer.csv());
            }
            sheet.answer(price, words::price)
        }
        Command::Papers { sheet, out, books, paper, day, shop, only } => {
            let (sheet, books) = (Sheet { sheet, words: false }, books.read()?);
            let size = paper.map(|size| match size {
                PaperSize::Letter => Size::Letter,
                PaperSize::A4 => Size::A4,
            });
            papers(&sheet, &out, &books, &Wish { size, day, shop, only })
        }
        Command::Demo { dir } => demo(&dir),
        Command::Schema => print_json(&schema()),
        Command::Store(command) => store::run(command),
    }
}

/// The longest that searches take all together; usually their effort ends first. An answer says whether it is proven.
const PATIENCE: Duration = Duration::from_secs(40);

fn deadline() -> impl FnMut() -> bool {
    let start = Instant::now();
    move || start.elapsed() < PATIENCE
}

impl From<Problem> for Failure {
    fn from(problem: Problem) -> Self {
        Self::Other(problem.to_string())
    }
}

impl Sheet {
    fn answer<T: Serialize>(
        &self,
        compute: impl FnOnce(&drylay_app::Sheet) -> Answer<T>,
        words: impl FnOnce(&drylay_app::Sheet, &T) -> String,
    ) -> Result<(), Failure> {
        let (sheet, answer) = self.computed(compute)?;
        if self.words { print(&words(&sheet, &answer)) } else { print_json(&answer) }
    }

    /// Answers with a list.
    fn csv<T>(
        &self,
        compute: impl FnOnce(&drylay_app::Sheet) -> Answer<T>,
        list: impl FnOnce(&T) -> String,
    ) -> Result<(), Failure> {
        print(&list(&self.computed(compute)?.1))
    }

    fn computed<T>(
        &self,
        compute: impl FnOnce(&drylay_app::Sheet) -> Answer<T>,
    ) -> Result<(drylay_app::Sheet, T), Failure> {
        let text = self.read()?;
        let read = read_sheet(&text).map_err(Failure::Sheet)?;
        for warning in &read.warnings {
            complain(&format!("note: {warning}"));
        }
        let answer = compute(&read.sheet).map_err(Failure::Sheet)?;
        Ok((read.sheet, answer))
    }

    fn read(&self) -> Result<String, Failure> {
        let shown = self.sheet.display();
        let bytes = if self.sheet.as_os_str() == "-" {
            let mut bytes = Vec::new();
            std::io::stdin().read_to_end(&mut bytes).map(|_| bytes)
        } else {
            std::fs::read(&self.sheet)
        };
        let bytes = bytes.map_err(|e| Failure::Other(format!("{shown} cannot be read: {e}.")))?;
        String::from_utf8(bytes).map_err(|e| {
            let at = e.utf8_error().valid_up_to();
            Failure::Sheet(vec![Problem::new("sheet.not_utf8", "").with("at", at)])
        })
    }
}

/// Reads a list; none where no file is named. Mistakes are told with the file.
fn list<T>(
    path: Option<&Path>,
    read: impl FnOnce(&[u8]) -> Result<Vec<T>, Vec<Problem>>,
) -> Result<Vec<T>, Failure> {
    let Some(path) = path else { return Ok(Vec::new()) };
    let shown = path.display();
    let bytes = std::fs::read(path).map_err(|e| Failure::Other(format!("{shown} cannot be read: {e}.")))?;
    read(&bytes).map_err(|mut found| {
        found.iter_mut().for_each(|problem| problem.place = format!("{shown}, {}", problem.place));
        Failure::Sheet(found)
    })
}

fn papers(sheet: &Sheet, out: &Path, books: &Books, wish: &Wish) -> Result<(), Failure> {
    let press = drylay_press::Typst;
    // No clock ends the searches here: the same job gives the same bytes.
    let (_, files) = sheet.computed(|s| make_papers(s, books, (&press, wish), &mut || true))?;
    let paths = write_all(out, &files)?;
    paths.iter().for_each(|path| complain(&format!("Wrote {}.", path.display())));
    Ok(())
}

fn demo(dir: &Path) -> Result<(), Failure> {
    let path = dir.join("demo.json");
    let failed = |e: std::io::Error| Failure::Other(format!("{} cannot be written: {e}.", path.display()));
    std::fs::create_dir_all(dir).map_err(failed)?;
    std::fs::write(&path, answers::demo::SHEET).map_err(failed)?;
    complain(&format!("Wrote {}.", path.display()));
    Ok(())
}

fn print_json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value).map_err(|e| Failure::Other(e.to_string()))?;
    print(&(text + "\n"))
}

/// Writes to standard output; a reader that has gone away is no failure.
fn print(text: &str) -> Result<(), Failure> {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::Other(format!("Cannot write the answer: {e}.")))
        }
        _ => Ok(()),
    }
}

/// Writes a line to standard error; if that fails there is nobody to tell.
fn complain(message: &str) {
    drop(writeln!(std::io::stderr().lock(), "{message}"));
}
