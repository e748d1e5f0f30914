//! The written forms of places and devices.

use std::collections::BTreeMap;

use super::form;
use super::values::{
    Blank, ConnectorValue, Coordinates, Count, FecWord, JointWord, Loss, MeasuredLoss, OneOrMany, Power,
    Rate, SplitRatio, TapRatio, Text, YesNo,
};

form! {
    /// A place where things stand.
    PlaceForm {
        /// What it is: `central-office`, `cabinet`, `closure`, `pole`, `premises`, …
        "kind" kind: Option<Text>,
        /// Where it is.
        "at" at: Option<Coordinates>,
    }
}

form! {
    /// A shelf of equipment, with slots or with ports of its own.
    ShelfForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// Its slots by number.
        "slots" slots: Option<BTreeMap<String, SlotForm>>,
        /// Its own ports by number. Their points are `shelf/port`.
        "ports" ports: Option<BTreeMap<String, Option<PortForm>>>,
    }
}

/// What sits in a slot.
#[derive(schemars::JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code, reason = "read by the schema generator alone")]
pub(super) enum SlotForm {
    /// Nothing.
    Blank(Blank),
    /// A card.
    Card(CardForm),
}

form! {
    /// A card in a slot.
    CardForm {
        /// Its type.
        "card" card: Option<Text>,
        /// Its ports by number. Their points are `shelf/slot/port`.
        "ports" ports: Option<BTreeMap<String, Option<PortForm>>>,
    }
}

form! {
    /// A port of equipment.
    PortForm {
        /// The optic in it, or several that must all close.
        "optic" optic: Option<OneOrMany<Text>>,
        /// The cage: `SFP`, `SFP+`, `QSFP28`, …
        "cage" cage: Option<Text>,
        /// The channel that the optic is set to: `C31`, `CWDM1551`.
        "channel" channel: Option<Text>,
        /// The form factor of the module.
        "form" form: Option<Text>,
        /// The module's temperature range, a row of the temperature table: `C`, `E`, `I`.
        "temperature" temperature: Option<Text>,
        /// The most electrical power that the module takes.
        "power" power: Option<Power>,
        /// The data rate that the port is set to.
        "rate" rate: Option<Rate>,
        /// The error correction that the port is set to.
        "fec" fec: Option<FecWord>,
        /// The optical face of the module: `LC/UPC`, `MPO-12/APC/pinned`.
        "face" face: Option<Text>,
        /// The lane of a broken-out parallel optic that this port is.
        "lane" lane: Option<Count>,
        /// `no` for an optic that sits in its cage with nothing connected yet.
        "connected" connected: Option<YesNo>,
        /// The port that this one stands by for: one of the two sends at a time. A range of ports names
        /// a range, paired in order.
        "protects" protects: Option<Text>,
    }
}

form! {
    /// A patch panel. Its points are `panel/1`, `panel/2`, …
    PanelForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// How many couplings it has.
        "positions" positions: Count,
        /// The connector of its couplings; the plan's default where not stated.
        "connector" connector: Option<ConnectorValue>,
        /// Measured loss of a coupling.
        "measured" measured: Option<MeasuredLoss>,
        /// Uncertainty of the measured loss (two standard deviations).
        "uncertainty" uncertainty: Option<Loss>,
    }
}

form! {
    /// A closure or tray with numbered splices. Its points are `case/1`, `case/2`, …
    SpliceCaseForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// How many splices it takes.
        "positions" positions: Count,
        /// The kind of its splices, a row of the splice table.
        "splice" splice: Option<Text>,
        /// Measured loss of a splice.
        "measured" measured: Option<MeasuredLoss>,
        /// Uncertainty of the measured loss (two standard deviations).
        "uncertainty" uncertainty: Option<Loss>,
    }
}

form! {
    /// A splitter with equal legs. Its points are `splitter/in` (or `/in1`, `/in2`) and
    /// `splitter/1`, `splitter/2`, …
    SplitterForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// Inputs and legs.
        "ratio" ratio: SplitRatio,
        /// The row of the splitter table, where it is not the ratio itself.
        "type" kind: Option<Text>,
        /// How its fibers are joined to the spans.
        "joint" joint: Option<JointWord>,
        /// Measured loss from an input to a leg.
        "measured" measured: Option<MeasuredLoss>,
        /// Uncertainty of the measured loss (two standard deviations).
        "uncertainty" uncertainty: Option<Loss>,
    }
}

form! {
    /// A tap: an uneven splitter. Its points are `tap/in`, `tap/through`, `tap/tap`.
    TapForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// Percent that goes on and percent that is tapped off; a row of the tap table.
        "ratio" ratio: TapRatio,
        /// How its fibers are joined to the spans.
        "joint" joint: Option<JointWord>,
    }
}

form! {
    /// A wdm element. Its points are `element/com` and one for each leg of its type.
    WdmElementForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// Its type, an element of the wdm table.
        "type" kind: Text,
        /// How its fibers are joined to the spans.
        "joint" joint: Option<JointWord>,
    }
}

form! {
    /// A fixed attenuator. Its points are `attenuator/a` and `attenuator/b`.
    AttenuatorForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// Nominal loss.
        "loss" loss: Loss,
        /// Tolerance each way; that of the attenuator table where not stated.
        "tolerance" tolerance: Option<Loss>,
        /// How its fibers are joined to the spans.
        "joint" joint: Option<JointWord>,
    }
}

form! {
    /// An ONT or ONU at the premises. Its point is its id.
    OntForm {
        /// The place it stands in.
        "place" place: Option<Text>,
        /// The optic in it, or several that must all close.
        "optic" optic: Option<OneOrMany<Text>>,
        /// The cage, where the optic can be changed.
        "cage" cage: Option<Text>,
        /// The channel that the optic is set to.
        "channel" channel: Option<Text>,
        /// The form factor of the module.
        "form" form: Option<Text>,
        /// The module's temperature range, a row of the temperature table: `C`, `E`, `I`.
        "temperature" temperature: Option<Text>,
        /// The most electrical power that the module takes.
        "power" power: Option<Power>,
        /// The data rate that the port is set to.
        "rate" rate: Option<Rate>,
        /// The error correction that the port is set to.
        "fec" fec: Option<FecWord>,
        /// The optical face of the ONT: `SC/APC`.
        "face" face: Option<Text>,
        /// The lane of a broken-out parallel optic that this port is.
        "lane" lane: Option<Count>,
        /// `no` for a home that is passed but not connected yet: it is counted as such, and judged only
        /// with an assumed optic.
        "connected" connected: Option<YesNo>,
    }
}
