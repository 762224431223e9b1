//! The demo job: an invented house of four rooms, so that a newcomer sees something real.

/// The demo job as a sheet.
pub const SHEET: &str = include_str!("demo.json");

#[cfg(test)]
mod tests {
    use drylay_document::sheet::Sheet;

    #[test]
    fn the_demo_sheet_reads_without_a_warning() {
        let read = Sheet::read(super::SHEET).expect("a sheet");
        assert_eq!(read.warnings, []);
        assert_eq!(read.sheet.rooms.len(), 4);
    }
}
