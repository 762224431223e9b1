//! Grout by joint geometry: what lies between the faces, as deep as the joint.
//!
//! The formulas are for a field without an edge. The plan knows better: its joints are what of the field no face covers,
//! so joints along cut pieces and round what stands in the room count as they lie, and the gap along the walls, which is
//! never grouted, does not count at all.

use crate::field::Field;
use crate::plan::Plan;
use drylay_geometry::Length;

/// Litres of grout for a square metre by the usual rule of thumb: (A + B) / (A · B) · joint · depth.
pub fn rule_of_thumb(face: (Length, Length), joint: Length, depth: Length) -> f64 {
    let (a, b) = (face.0.mm(), face.1.mm());
    (a + b) / (a * b) * joint.mm() * depth.mm()
}

/// Litres of grout for a square metre of an endless field, exactly: what share of a tile with its joints is joint.
pub fn endless(face: (Length, Length), joint: Length, depth: Length) -> f64 {
    let (a, b, j) = (face.0.mm(), face.1.mm(), joint.mm());
    (1.0 - a * b / ((a + j) * (b + j))) * depth.mm()
}

/// The area of a plan's joints in mm²: the field less all faces in it.
pub fn area_mm2(field: &Field, plan: &Plan) -> f64 {
    let faces: i128 = plan.pieces.iter().map(|p| p.shape.doubled_area()).sum();
    // Turning the field into the lattice's frame rounds corners to a nanometre; no joint is less than none.
    let doubled = (field.region.doubled_area() - faces).max(0);
    doubled as f64 / 2e12
}

/// Litres in joints of an area in mm² and a depth.
pub fn litres(area_mm2: f64, depth: Length) -> f64 {
    area_mm2 * depth.mm() / 1e6
}
