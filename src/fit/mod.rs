//! What an optic, a cage, a card, a fiber and a far end allow each other.
//!
//! Holds: what an optic's own memory says of it.
//! Must not know: files, rules, how results are worded.
//! Start reading at [`memory::decode`].

pub mod array;
pub mod broken_out;
pub mod cage;
pub mod facts;
pub mod in_hand;
pub mod memory;
pub mod pad;
pub mod usual_face;
pub mod way;
