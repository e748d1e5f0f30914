//! Which interfaces launch single-mode light into older multimode fiber, over mode-conditioning cords.

use super::{Grade, Interface, Row, Tables};

/// Interfaces that are made for single-mode fiber, and the row that holds for the same optic behind a
/// mode-conditioning cord on OM1 or OM2 (IEEE 802.3 38.11.4 and clause 59, from memory).
const BEHIND_A_CORD: [(&str, &str); 2] =
    [("1000BASE-LX", "1000BASE-LX-MM"), ("1000BASE-LX10", "1000BASE-LX-MM")];

/// Interfaces that need such cords on OM1 and OM2 (IEEE 802.3 clauses 38, 53, 68, from memory).
const NEED_A_CORD: [&str; 3] = ["1000BASE-LX-MM", "10GBASE-LX4", "10GBASE-LRM"];

impl Tables {
    /// The row of an interface for its optic behind a mode-conditioning cord.
    pub fn behind_conditioning_cord(&self, interface: &str) -> Option<&Row<Interface>> {
        let own = self.interfaces.get(interface)?;
        let (_, row) = BEHIND_A_CORD.iter().find(|(single_mode, _)| *single_mode == own.key)?;
        self.interfaces.get(row)
    }
}

/// Whether an interface needs mode-conditioning cords on older multimode fiber.
pub fn needs_conditioning(interface: &str) -> bool {
    NEED_A_CORD.contains(&interface)
}

/// Whether a fiber is of those that the cords are made for; on newer ones they do harm.
pub fn takes_conditioning(fiber: &str) -> bool {
    matches!(Grade::of(fiber), Some(Grade::Om1 | Grade::Om2))
}
