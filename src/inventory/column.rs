//! The columns that an inventory may have.

/// How the cells of a column are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ColumnKind {
    /// Part of the name of a port or of its far end.
    Name,
    /// A word that many rows share; the words of a row together are its profile.
    Word,
    /// An identifier of which a row keeps a fingerprint.
    Identifier,
    /// A number with or without a unit.
    Number,
    /// A day.
    Date,
    /// Free text.
    Text,
}

macro_rules! columns {
    ($($(#[$doc:meta])* $name:ident $written:literal $kind:ident,)*) => {
        /// A column of a port inventory, by its meaning.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum Column {
            $($(#[$doc])* $name,)*
        }

        /// Every column.
        pub const COLUMNS: &[Column] = &[$(Column::$name,)*];

        impl Column {
            /// The name that stands in `inventory-columns`, in results and in a map of columns.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$name => $written,)* }
            }

            /// How its cells are read.
            pub const fn kind(self) -> ColumnKind {
                match self { $(Self::$name => ColumnKind::$kind,)* }
            }
        }
    };
}

columns! {
    /// The office, hut or node.
    Site "site" Name,
    /// The rack.
    Bay "bay" Name,
    /// The shelf.
    Shelf "shelf" Name,
    /// The slot.
    Slot "slot" Name,
    /// The port.
    Port "port" Name,
    /// The site of the far end.
    FarSite "far_site" Name,
    /// The shelf of the far end.
    FarShelf "far_shelf" Name,
    /// The slot of the far end.
    FarSlot "far_slot" Name,
    /// The port of the far end.
    FarPort "far_port" Name,
    /// Site and port of the far end in one cell.
    FarEnd "far_end" Name,
    /// What surrounds the equipment.
    SiteClass "site_class" Word,
    /// The card in the slot.
    CardType "card_type" Word,
    /// What the port is for.
    PortRole "port_role" Word,
    /// The form factor that the cage takes.
    Cage "cage" Word,
    /// Whether the port is meant to be up.
    Admin "admin_state" Word,
    /// Whether it is up.
    Oper "oper_state" Word,
    /// The optic.
    Module "module" Word,
    /// The optic's form factor.
    Form "module_form" Word,
    /// The optic that was planned.
    PlannedModule "planned_module" Word,
    /// Transmit wavelength in nm.
    TxNm "tx_nm" Word,
    /// Receive wavelength in nm.
    RxNm "rx_nm" Word,
    /// Channel of a grid.
    Channel "channel" Word,
    /// Connector.
    Connector "connector" Word,
    /// Polish of the jumper.
    Polish "polish" Word,
    /// Polish of the port's or panel's face.
    PortPolish "port_polish" Word,
    /// Kind or type of the fiber.
    Fiber "fiber" Word,
    /// The far end's optic as this row has it.
    FarModule "far_module" Word,
    /// PON class.
    PonClass "pon_class" Word,
    /// Split of the PON.
    Split "split" Word,
    /// Forward error correction.
    Fec "fec" Word,
    /// Temperature grade of the optic.
    Grade "temperature_grade" Word,
    /// Power feed.
    Feed "feed" Word,
    /// In service, spare, planned …
    Status "status" Word,
    /// Upper alarm threshold of the receive level.
    RxHighAlarm "rx_high_alarm" Word,
    /// Upper warning threshold of the receive level.
    RxHighWarning "rx_high_warning" Word,
    /// Lower warning threshold of the receive level.
    RxLowWarning "rx_low_warning" Word,
    /// Lower alarm threshold of the receive level.
    RxLowAlarm "rx_low_alarm" Word,
    /// Upper alarm threshold of the module's temperature.
    TempHighAlarm "temperature_high_alarm" Word,
    /// Serial number of the optic.
    Serial "serial" Identifier,
    /// Circuit.
    Circuit "circuit" Identifier,
    /// Position at the fiber frame.
    FramePort "frame_port" Identifier,
    /// Cable and strand.
    Strand "strand" Identifier,
    /// Jumper.
    Jumper "jumper" Identifier,
    /// Group of links that must not share anything.
    DiversityGroup "diversity_group" Identifier,
    /// Length of the jumper.
    JumperLength "jumper_length" Number,
    /// Length of the path.
    PathLength "path_length" Number,
    /// Loss of the path, without the attenuator.
    PathLoss "path_loss" Number,
    /// Attenuator at this receiver.
    Pad "pad" Number,
    /// Transmit level.
    Tx "tx" Number,
    /// Receive level.
    Rx "rx" Number,
    /// Laser bias.
    Bias "bias" Number,
    /// Module temperature.
    Temperature "temperature" Number,
    /// Supply voltage.
    Voltage "voltage" Number,
    /// ONUs on the PON.
    Onus "onus" Number,
    /// Day of installation.
    Installed "installed" Date,
    /// Day of the last proof.
    Proven "proven" Date,
    /// Part number.
    Part "part" Text,
    /// Reach as advertised.
    Reach "reach" Text,
    /// When the readings were taken.
    ReadTime "read_time" Text,
    /// Service.
    Service "service" Text,
    /// Where the row comes from.
    RecordSource "record_source" Text,
    /// Remarks.
    Note "note" Text,
}

impl Column {
    /// The column of a name, exactly as [`Column::name`] has it.
    pub fn named(name: &str) -> Option<Self> {
        COLUMNS.iter().copied().find(|column| column.name() == name)
    }

    /// Least and greatest number that can be meant in a column, in hundredths of its unit (lengths
    /// in meters): beyond it nothing of the trade lies (common practice).
    pub fn possible(self) -> std::ops::RangeInclusive<f64> {
        match self {
            Self::Tx | Self::Rx => -6_000.0..=3_000.0,
            Self::PathLoss => 0.0..=6_000.0,
            Self::Pad => 0.0..=4_000.0,
            Self::Temperature => -6_000.0..=12_500.0,
            Self::Bias => 0.0..=50_000.0,
            Self::Voltage => 0.0..=1_500.0,
            Self::Onus => 0.0..=102_400.0,
            Self::PathLength => 0.0..=400_000.0,
            _ => 0.0..=500.0,
        }
    }
}

/// A set of columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ColumnSet(u128);

impl ColumnSet {
    /// Adds a column.
    pub fn insert(&mut self, column: Column) {
        self.0 |= 1 << (column as u8);
    }

    /// Whether a column is in it.
    pub fn has(self, column: Column) -> bool {
        self.0 & (1 << (column as u8)) != 0
    }

    /// All that are in either.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_found() {
        for column in COLUMNS {
            assert_eq!(Column::named(column.name()), Some(*column));
        }
        assert!(COLUMNS.len() <= 128);
    }
}
