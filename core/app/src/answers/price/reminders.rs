//! What the law of many places asks where something is sold at home or an old floor is broken open. The program reminds;
//! local law decides, and licensed people do what it leaves to them.

use crate::Problem;
use drylay_document::sheet::{Sheet, SignedAt};

/// Lead rules apply to houses built before this year (40 CFR 745.82, .83).
const LEAD_BEFORE: u32 = 1978;
/// Floor coverings in houses built no later than this year are taken for asbestos until shown otherwise
/// (29 CFR 1926.1101(b) and (k)).
const ASBESTOS_UNTIL: u32 = 1980;

/// The reminders of a sheet's quote.
pub(crate) fn reminders(sheet: &Sheet) -> Vec<Problem> {
    let quote = sheet.quote.as_ref();
    let at_home = quote.is_some_and(|q| q.signed_at == Some(SignedAt::Home));
    let opens = quote.is_some_and(|q| q.work.iter().any(|w| w.task == "demolish"));
    let mut found = Vec::new();
    if at_home {
        found.push(Problem::new("quote.home_signing", "quote.signed_at"));
    }
    match sheet.job.built {
        None => found.push(Problem::new("quote.year_unknown", "job.built")),
        Some(year) => {
            let with_year = |code: &str| Problem::new(code, "job.built").with("year", year);
            if year < LEAD_BEFORE {
                found.push(with_year("quote.lead_pamphlet"));
            }
            if year <= ASBESTOS_UNTIL && opens {
                found.push(with_year("quote.asbestos"));
            }
        }
    }
    found
}
