//! Papers as PDF: a paper's blocks become a text for typst, which sets it with the faces in `fonts` and nothing else. No
//! file, no network and no clock is looked at, so the same paper gives the same bytes.
//!
//! [`Typst`] is the press that programs give to the core. `desk` is the world that typst sees, `source` writes a paper's
//! blocks as its text, `figure` draws plans as paths.
//!
//! `paper.typ` has the look: ink on paper, thin lines, one accent, figures of equal width, as on the screens.

mod desk;
mod figure;
mod source;

use desk::Desk;
use drylay_papers::paper::{Paper, Press};
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

/// The press: typst as a library.
#[derive(Clone, Copy, Debug, Default)]
pub struct Typst;

impl Press for Typst {
    fn pdf(&self, paper: &Paper) -> Result<Vec<u8>, String> {
        set(paper)
    }
}

fn set(paper: &Paper) -> Result<Vec<u8>, String> {
    let desk = Desk::of(source::of(paper), &paper.pictures);
    let told = |found: &[typst::diag::SourceDiagnostic]| {
        found.iter().map(|one| one.message.to_string()).collect::<Vec<_>>().join("; ")
    };
    let document = typst::compile::<PagedDocument>(&desk).output.map_err(|found| told(&found));
    let options = PdfOptions {
        ident: Smart::Custom(format!("{} {}", paper.job, paper.title)),
        creator: Smart::Custom(Some("Drylay".to_owned())),
        ..PdfOptions::default()
    };
    let bytes =
        document.and_then(|document| typst_pdf::pdf(&document, &options).map_err(|found| told(&found)));
    // What typst remembers of one paper is of use to the next, if it follows at once, and to none after that.
    typst::comemo::evict(1);
    bytes
}

#[cfg(test)]
mod tests;
