//! Papers as PDF: a paper's blocks become a text for typst, which sets it with the faces in `fonts` and nothing else.
//!
//! # From blocks to pages
//!
//! 1. A program gives [`Typst`] to the core as its press; the core hands it a [`Paper`].
//! 2. `source` writes the paper's blocks as a text for typst, plans as paths (`figure`). Words of people go into it as quoted
//!    strings. `paper.typ` has the look: ink on paper, thin lines, one accent, figures of equal width, as on the screens.
//! 3. `desk` is the world that typst sees while it sets the text: that text, the look, the paper's pictures, the faces.
//! 4. What stands above and below every page is set once it is known how many there are, on pages of its own that are laid
//!    over the others; no block asks where it stands, since then typst would set all of them twice.
//! 5. The pages become a PDF that bears the paper's title and no date.
//!
//! **Invariants.** No file, no network and no clock is looked at: the same paper gives the same bytes. What a person wrote
//! is never read as markup. Nothing is known of jobs but what stands on the paper. What cannot be set is told in typst's
//! words and is never half a file.

mod desk;
mod figure;
mod source;

use desk::Desk;
use drylay_papers::paper::{Paper, Press};
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst::layout::Point;
use typst::model::Document;
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

fn told(found: &[SourceDiagnostic]) -> String {
    found.iter().map(|one| one.message.to_string()).collect::<Vec<_>>().join("; ")
}

/// The pages of a text.
fn pages(text: String, pictures: &[Vec<u8>]) -> Result<PagedDocument, String> {
    typst::compile(&Desk::of(text, pictures)).output.map_err(|found| told(&found))
}

/// A paper's pages with what stands above and below them.
fn numbered(paper: &Paper) -> Result<PagedDocument, String> {
    let inner = pages(source::of(paper), &paper.pictures)?;
    let sizes: Vec<[f64; 2]> =
        inner.pages().iter().map(|page| [page.frame.width().to_pt(), page.frame.height().to_pt()]).collect();
    let margins = pages(source::margins(paper, &sizes), &[])?;
    let over = inner.pages().iter().zip(margins.pages()).map(|(page, margin)| {
        let mut page = page.clone();
        page.frame.push_frame(Point::zero(), margin.frame.clone());
        page
    });
    Ok(PagedDocument::new(over.collect(), inner.info().clone()))
}

fn set(paper: &Paper) -> Result<Vec<u8>, String> {
    let document = numbered(paper);
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
