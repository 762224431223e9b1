//! The photo report: the job's photos with what was said of them, where and when.

use super::setter::Setter;
use crate::words::say;
use drylay_papers::paper::{Block, Fact, Paper, Photo, PhotoMark};

/// A photo of the job, ready for paper.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ReportPhoto {
    /// A smaller copy, JPEG.
    pub(crate) picture: Vec<u8>,
    /// Its width and height in pixels.
    pub(crate) shape: [f64; 2],
    /// What is drawn upon it.
    pub(crate) marks: Vec<PhotoMark>,
    /// What was said of it.
    pub(crate) words: String,
    /// Where it is pinned, when and by whom it was taken.
    pub(crate) note: String,
}

/// The report; `None` where the job has no photos here.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    let all = &setter.basis.photos;
    if all.is_empty() {
        return None;
    }
    let photo = |(i, photo): (usize, &ReportPhoto)| Photo {
        picture: i,
        shape: photo.shape,
        marks: photo.marks.clone(),
        words: photo.words.clone(),
        note: photo.note.clone(),
    };
    let count =
        Fact { label: say("paper.photos.count", &[]), value: all.len().to_string(), note: String::new() };
    let blocks = vec![
        Block::Facts(vec![count]),
        Block::Photos(all.iter().enumerate().map(photo).collect()),
        Block::Small(say("paper.photos.how", &[])),
    ];
    let mut paper = setter.paper("paper.photos", Vec::new(), blocks);
    paper.pictures = all.iter().map(|photo| photo.picture.clone()).collect();
    Some(paper)
}
