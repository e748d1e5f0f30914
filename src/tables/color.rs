//! Colors of fibers and tubes, and how cables group their fibers.

use super::Tables;

/// One color of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StrandColor {
    /// The order it belongs to, such as `TIA-598`.
    pub order: String,
    /// Its place in the order, from 1.
    pub position: u16,
    /// Its name.
    pub color: String,
    /// Its abbreviation.
    pub abbreviation: String,
    /// How it looks on a screen: `#rrggbb`; empty when not known.
    pub swatch: String,
}

/// How a kind of cable groups and colors its fibers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CableTemplate {
    /// The order of colors, for tubes and for the fibers in a tube.
    pub order: String,
    /// Fibers in a tube.
    pub tube_size: u16,
}

/// A color with its marks: fibers beyond the end of an order repeat it with marks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marked<'t> {
    /// Number of the tube in its cable, or of the fiber in its tube, from 1.
    pub number: u32,
    /// The color.
    pub color: &'t StrandColor,
    /// How many marks (stripes, rings) it has.
    pub marks: u32,
}

/// A strand of a cable: which tube, which fiber in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StrandAt<'t> {
    /// The tube.
    pub tube: Marked<'t>,
    /// The fiber in the tube.
    pub fiber: Marked<'t>,
}

impl Marked<'_> {
    /// `blue`, `blue with 1 mark`.
    pub fn words(&self) -> String {
        match self.marks {
            0 => self.color.color.clone(),
            1 => format!("{} with 1 mark", self.color.color),
            marks => format!("{} with {marks} marks", self.color.color),
        }
    }

    /// `3 GR`, `15 GR-1`: the number, the abbreviation, the marks.
    pub fn short(&self) -> String {
        let marks = if self.marks == 0 { String::new() } else { format!("-{}", self.marks) };
        format!("{} {}{marks}", self.number, self.color.abbreviation)
    }
}

impl Tables {
    /// Tube and fiber of a strand, counted from 1 over the whole cable. `None` when the template's order
    /// is not in the table or the strand is 0 (not stated).
    pub fn strand(&self, template: &CableTemplate, strand: u32) -> Option<StrandAt<'_>> {
        let index = strand.checked_sub(1)?;
        let size = u32::from(template.tube_size.max(1));
        Some(StrandAt {
            tube: self.marked(&template.order, index / size)?,
            fiber: self.marked(&template.order, index % size)?,
        })
    }

    /// The color of a place in an order, counted from 0.
    fn marked(&self, order: &str, index: u32) -> Option<Marked<'_>> {
        let colors = self.strand_colors.rows().iter().map(|row| &row.value);
        let length =
            colors.clone().filter(|color| color.order.eq_ignore_ascii_case(order)).count() as u32;
        let position = index.checked_rem(length)? + 1;
        let same = |color: &&StrandColor| {
            color.order.eq_ignore_ascii_case(order) && u32::from(color.position) == position
        };
        let color = colors.clone().find(same)?;
        Some(Marked { number: index + 1, color, marks: index / length })
    }
}
