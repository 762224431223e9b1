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
