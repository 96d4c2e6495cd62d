//! What leaves the program as paper: values in, one text out. Nothing here reads a shop or writes a file.
//!
//! Reading order: [`card_sheet`] makes the whole file of cards; [`paper`] says where each card lies on its
//! sheet, front and back; [`card_face`] is what stands on a card, and [`fit`] tells in which type it fits;
//! [`interval_svg`] draws a share with its limits; [`html`] is the one way from text into the file.

pub mod card_face;
pub mod card_sheet;
pub mod fit;
pub mod html;
pub mod interval_svg;
pub mod paper;
