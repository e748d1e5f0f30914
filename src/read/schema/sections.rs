//! The written forms of the plan as a whole, its assumptions, spans and joints.

use std::collections::BTreeMap;

use super::devices::{
    AttenuatorForm, OntForm, PanelForm, PlaceForm, ShelfForm, SpliceCaseForm, SplitterForm, TapForm,
    WdmElementForm,
};
use super::form;
use super::values::{
    Attenuation, Confidence, ConnectorValue, Count, DirtyConnectors, EndConnectorsWord, FecWord,
    JointWord, Length, Loss, MeasuredLoss, OneOrMany, PolarityWord, Power, Rate, RepairLawWord, Share,
    SpanKindWord, SpliceLossValue, SurplusValue, Text, Version, YesNo,
};

form! {
    /// A plan: what stands where, how fibers run, and what is assumed.
    #[schemars(title = "Spanwright plan")]
    PlanForm {
        /// The version of the format.
        "spanwright" spanwright: Version,
        /// Title, for the heads of sheets.
        "title" title: Option<Text>,
        /// Revision, as you count.
        "revision" revision: Option<Text>,
        /// Date, as you write it.
        "date" date: Option<Text>,
        /// Folders of reference tables laid over the built-in ones, relative to the plan file.
        "tables" tables: Option<OneOrMany<Text>>,
        /// The confidence of the statistical figures; 99.9 % where not stated.
        "confidence" confidence: Option<Confidence>,
        /// Design reserve: the margin that a passing end keeps.
        "reserve" reserve: Option<Loss>,
        /// Whether the connectors at the equipment count in the loss; excluded where not stated.
        "end-connectors" end_connectors: Option<EndConnectorsWord>,
        /// How much better than their worst values launch and sensitivity are, over specimens; counted in
        /// the statistics alone, for optics that the table `optic-spreads` does not name.
        "equipment" equipment: Option<EquipmentForm>,
        /// Dirty connectors: their share, and what one of them loses more; counted in the statistics
        /// alone. Goes before what the connector table says.
        "dirty" dirty: Option<DirtyConnectors>,
        /// What holds where an entry says nothing else.
        "defaults" defaults: Option<DefaultsForm>,
        /// Losses that are not there on the first day but are counted with.
        "allowances" allowances: Option<AllowancesForm>,
        /// Places by id.
        "places" places: Option<BTreeMap<String, Option<PlaceForm>>>,
        /// Shelves by id.
        "shelves" shelves: Option<BTreeMap<String, ShelfForm>>,
        /// Patch panels by id.
        "panels" panels: Option<BTreeMap<String, PanelForm>>,
        /// Splice cases by id.
        "splice-cases" splice_cases: Option<BTreeMap<String, SpliceCaseForm>>,
        /// Splitters by id.
        "splitters" splitters: Option<BTreeMap<String, SplitterForm>>,
        /// Taps by id.
        "taps" taps: Option<BTreeMap<String, TapForm>>,
        /// Wdm elements by id.
        "wdm-elements" wdm_elements: Option<BTreeMap<String, WdmElementForm>>,
        /// Attenuators by id.
        "attenuators" attenuators: Option<BTreeMap<String, AttenuatorForm>>,
        /// ONTs by id (`home-[001-032]` stands for 32 of them), or a list of entries.
        "onts" onts: Option<OntsForm>,
        /// Spans: one fiber each between two points, or many by ranges or a CSV table.
        "spans" spans: Option<Vec<SpanForm>>,
        /// Direct joints between two points, without a span.
        "joints" joints: Option<Vec<JointForm>>,
    }
}

form! {
    /// What holds where an entry says nothing else.
    DefaultsForm {
        /// Fiber type, a row of the fiber table; G.652.D where not stated.
        "fiber" fiber: Option<Text>,
        /// Connector; grade C of unstated polish where not stated.
        "connector" connector: Option<ConnectorValue>,
        /// Kind of splices, a row of the splice table; `fusion` where not stated.
        "splice" splice: Option<Text>,
        /// How splitters, taps, wdm elements and attenuators are joined to spans; `splice` where
        /// not stated.
        "joint" joint: Option<JointWord>,
        /// Added to the length of outside spans.
        "slack" slack: Option<Share>,
        /// Length of cable on a reel: outside spans get a splice where one reel ends, unless their
        /// `splices` are stated.
        "reel" reel: Option<Length>,
        /// Loss of the splices along outside spans for each kilometer, in place of those that follow
        /// from `reel`: a figure, or a row of the splice table that is stated per km.
        "splice-loss" splice_loss: Option<SpliceLossValue>,
        /// Uncertainty of measured losses (two standard deviations).
        "uncertainty" uncertainty: Option<Loss>,
        /// The optic that homes which are not connected yet, and spare legs of splitters, are judged with.
        "assumed-optic" assumed_optic: Option<Text>,
    }
}

form! {
    /// How levels of equipment spread over specimens.
    EquipmentForm {
        /// The launch power above the least one: mean and standard deviation.
        "launch" launch: Option<SurplusValue>,
        /// The sensitivity below the worst one: mean and standard deviation.
        "sensitivity" sensitivity: Option<SurplusValue>,
    }
}

form! {
    /// A connector.
    ConnectorForm {
        /// Grade, a row of the connector table.
        "grade" grade: Option<Text>,
        /// End-face polish, a row of the polish table.
        "polish" polish: Option<Text>,
    }
}

form! {
    /// Losses that are not there on the first day but are counted with.
    AllowancesForm {
        /// Repair splices to come.
        "repair" repair: Option<RepairForm>,
        /// Ageing of the plant, per path.
        "ageing" ageing: Option<Loss>,
        /// Cold or heat, per kilometer of outside plant.
        "temperature" temperature: Option<Attenuation>,
    }
}

form! {
    /// Repair splices to come.
    RepairForm {
        /// Splices added …
        "splices" splices: Count,
        /// … for each begun stretch of this length of outside plant.
        "per" per: Length,
        /// How the statistics take their number: `fixed` as it is stated, or `poisson`: repairs come at
        /// random, one (with `splices` splices) in each `per` on average. The worst case counts them as
        /// stated either way. Where not stated, `fixed`.
        "law" law: Option<RepairLawWord>,
    }
}

/// ONTs as a map or as a list.
#[derive(schemars::JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code, reason = "read by the schema generator alone")]
pub(super) enum OntsForm {
    /// By id.
    Map(BTreeMap<String, Option<OntForm>>),
    /// Entries with an id or a CSV table.
    List(Vec<OntEntryForm>),
}

form! {
    /// ONTs of one entry: by id, or one for each row of a CSV table.
    OntEntryForm {
        /// Its id; `home-[001-032]` stands for 32 of them.
        "id" id: Option<Text>,
        /// A CSV table, relative to the plan file, with the column `id` and any of the other keys as
        /// columns; what stands here holds for its rows where a cell is empty.
        "table" table: Option<Text>,
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
        /// The module's temperature range, a row of the temperature table.
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
        /// `no` for homes that are passed but not connected yet.
        "connected" connected: Option<YesNo>,
    }
}

form! {
    /// A span: one fiber between two points.
    SpanForm {
        /// One end. `fdh-3a/[1-32]` stands for 32 points, paired in order with those of `to`.
        "from" from: Option<Text>,
        /// The other end.
        "to" to: Option<Text>,
        /// Route length.
        "length" length: Option<Length>,
        /// A CSV table of spans with these keys as columns, relative to the plan file; the other
        /// keys hold for its rows where a cell is empty.
        "table" table: Option<Text>,
        /// What it is; `cable` where not stated.
        "kind" kind: Option<SpanKindWord>,
        /// The cable that the fiber belongs to.
        "cable" cable: Option<Text>,
        /// The number of its strand in the cable, from 1.
        "strand" strand: Option<Count>,
        /// Fiber type, a row of the fiber table.
        "fiber" fiber: Option<Text>,
        /// Splices along the span; takes the place of the splices that follow from `reel`.
        "splices" splices: Option<Count>,
        /// Kind of the splices along the span, a row of the splice table.
        "splice" splice: Option<Text>,
        /// Loss of the splices along the span for each kilometer, in place of their number: a figure, or a
        /// row of the splice table that is stated per km.
        "splice-loss" splice_loss: Option<SpliceLossValue>,
        /// Splices that repairs have put in, beside those of `splices`, `splice-loss` or `reel`.
        "repairs" repairs: Option<Count>,
        /// Connectors along the span, beside those at its ends.
        "connectors" connectors: Option<Count>,
        /// The connectors along the span.
        "connector" connector: Option<ConnectorValue>,
        /// The plugs at its ends: `LC/UPC` for both, or one for each: `[LC/UPC, SC/APC]`, in the order
        /// of `from` and `to`. An array plug may be `pinned` or `unpinned`.
        "plugs" plugs: Option<OneOrMany<Text>>,
        /// How an array cord or trunk runs (TIA-568.3): `A`, `B` or `C`.
        "polarity" polarity: Option<PolarityWord>,
        /// Fibers that run side by side: 1 for simplex, 2 for duplex, 12 for an array.
        "fibers" fibers: Option<Count>,
        /// Whether it is a mode-conditioning cord.
        "mode-conditioning" mode_conditioning: Option<YesNo>,
        /// Measured loss of the span.
        "measured" measured: Option<MeasuredLoss>,
        /// Uncertainty of the measured loss (two standard deviations).
        "uncertainty" uncertainty: Option<Loss>,
    }
}

form! {
    /// A direct joint between two points.
    JointForm {
        /// One side. Ranges are paired in order with those of `to`.
        "from" from: Text,
        /// The other side.
        "to" to: Text,
        /// The joint; the plan's default splice where not stated.
        "joint" joint: Option<JointWord>,
    }
}
