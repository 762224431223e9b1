//! Lists as CSV (RFC 4180, with line ends of one character).

/// A list with named columns.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct List {
    /// The columns' names.
    pub columns: Vec<String>,
    /// The lines, each with a cell for every column.
    pub rows: Vec<Vec<String>>,
}

impl List {
    /// An empty list with these columns.
    pub fn new(columns: &[&str]) -> Self {
        Self { columns: columns.iter().map(|&name| name.to_owned()).collect(), rows: Vec::new() }
    }

    /// The list as CSV.
    pub fn csv(&self) -> String {
        // Lines of different lengths are no fault here: readers fill what is missing.
        let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
        for row in std::iter::once(&self.columns).chain(&self.rows) {
            // Writing to memory does not fail.
            let _ = writer.write_record(row.iter().map(|cell| plain(cell).into_owned()));
        }
        writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
    }
}

/// A cell that no table program takes for a formula: what could begin one stands behind an apostrophe, unless it is a
/// number.
fn plain(cell: &str) -> std::borrow::Cow<'_, str> {
    let risky = cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err();
    if risky { format!("'{cell}").into() } else { cell.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_with_anything_in_them_come_out_whole() {
        let mut list = List::new(&["name", "mm"]);
        list.rows.push(vec!["12\" tile, \"grey\"\nnew line".to_owned(), "-3.5".to_owned()]);
        list.rows.push(vec!["石 Größe".to_owned(), String::new()]);
        assert_eq!(list.csv(), "name,mm\n\"12\"\" tile, \"\"grey\"\"\nnew line\",-3.5\n石 Größe,\n");
    }

    #[test]
    fn no_cell_is_a_formula() {
        let mut list = List::new(&["name"]);
        list.rows = ["=1+1", "@x", "-2", "+a"].map(|cell| vec![cell.to_owned()]).to_vec();
        assert_eq!(list.csv(), "name\n'=1+1\n'@x\n-2\n'+a\n");
    }
}
