//! The written forms of single values.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::sections::ConnectorForm;

/// Declares a written value with its JSON Schema.
macro_rules! written {
    ($(#[doc = $doc:literal])+ $name:ident => $schema:tt) => {
        $(#[doc = $doc])+
        pub(super) struct $name;

        impl JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                let mut schema = json_schema!($schema);
                schema.insert("description".into(), concat!($($doc),+).trim().into());
                schema
            }
        }
    };
}

written! {
    /// The version of the plan format: 1.
    Version => { "const": 1 }
}

written! {
    /// A text; numbers and words such as `no` are taken as written.
    Text => { "type": ["string", "number", "boolean"] }
}

written! {
    /// A whole number.
    Count => { "type": "integer", "minimum": 0 }
}

written! {
    /// A length with its unit: km, m, mi, ft or kft.
    Length => { "type": "string", "examples": ["7.4 km", "400 m", "1.2 mi", "350 ft"] }
}

written! {
    /// A loss in dB.
    Loss => { "type": "string", "examples": ["0.35 dB"] }
}

written! {
    /// An attenuation in dB per kilometer.
    Attenuation => { "type": "string", "examples": ["0.02 dB/km"] }
}

written! {
    /// Dirty connectors: a share, and what a dirty one loses more.
    DirtyConnectors => { "type": "string", "examples": ["3 %, 1 dB"] }
}

written! {
    /// A mean and a standard deviation.
    SurplusValue => { "type": "string", "examples": ["1.5 dB, 0.5 dB"] }
}

written! {
    /// Loss of splices in dB per kilometer, or a row of the splice table that is stated per km.
    SpliceLossValue => { "type": "string", "examples": ["0.05 dB/km"] }
}

written! {
    /// How the number of repairs is taken in the statistics.
    RepairLawWord => { "enum": ["fixed", "poisson"] }
}

written! {
    /// A share in percent.
    Share => { "type": "string", "examples": ["2 %"] }
}

written! {
    /// A confidence in percent, 50 to below 100.
    Confidence => { "type": ["string", "number"], "examples": ["99.9 %"] }
}

written! {
    /// The ratio of a splitter: inputs, `x` or `:`, legs.
    SplitRatio => { "type": ["string", "number"], "examples": ["1x32", "1:32", "2x16"] }
}

written! {
    /// The ratio of a tap in percent: the leg that goes on, then the leg that is tapped off.
    TapRatio => { "type": "string", "examples": ["90/10"] }
}

written! {
    /// Latitude and longitude in degrees (WGS 84).
    Coordinates => {
        "type": "array",
        "prefixItems": [
            { "type": "number", "minimum": -90, "maximum": 90 },
            { "type": "number", "minimum": -180, "maximum": 180 }
        ],
        "minItems": 2,
        "maxItems": 2
    }
}

written! {
    /// How a fiber is joined: `splice` (the plan's default splice), `connector` (the plan's default
    /// connector), `none`, or a row of the splice table.
    JointWord => { "type": "string", "examples": ["splice", "connector", "none", "mechanical"] }
}

written! {
    /// Whether the connectors at the equipment count in the loss.
    EndConnectorsWord => { "enum": ["excluded", "counted"] }
}

written! {
    /// An electrical power with its unit.
    Power => { "type": "string", "examples": ["1.5 W"] }
}

written! {
    /// A data rate with its unit.
    Rate => { "type": "string", "examples": ["10 Gbit/s", "10G", "100M"] }
}

written! {
    /// An error correction, by the word of the interface table; `none` where it is off.
    FecWord => { "enum": ["none", "fc", "rs528", "rs544", "cfec", "ofec"] }
}

written! {
    /// How an array cord runs from plug to plug (TIA-568.3).
    PolarityWord => { "enum": ["A", "B", "C"] }
}

written! {
    /// Yes or no.
    YesNo => { "enum": ["yes", "no", true, false] }
}

written! {
    /// What a span is: `cable` and `drop` are outside plant, the others are not.
    SpanKindWord => { "enum": ["cable", "drop", "patch-cord", "pigtail", "jumper"] }
}

written! {
    /// A slot with nothing but its blank panel.
    Blank => { "const": "blank" }
}

written! {
    /// A measured loss: one that holds at every wavelength, or one for each wavelength in nm.
    MeasuredLoss => {
        "oneOf": [
            { "type": "string", "examples": ["0.21 dB"] },
            {
                "type": "object",
                "additionalProperties": { "type": "string" },
                "minProperties": 1,
                "examples": [{ "1310": "2.61 dB", "1550": "1.52 dB" }]
            }
        ]
    }
}

written! {
    /// A connector in one value: a grade, or a grade and a polish.
    ConnectorWord => { "type": "string", "examples": ["B", "B/APC"] }
}

/// A connector.
#[derive(JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code, reason = "read by the schema generator alone")]
pub(super) enum ConnectorValue {
    /// In one value.
    Word(ConnectorWord),
    /// Grade and polish by name.
    Map(ConnectorForm),
}

/// One value or a list of them.
#[derive(JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code, reason = "read by the schema generator alone")]
pub(super) enum OneOrMany<T> {
    /// One.
    One(T),
    /// Several.
    Many(Vec<T>),
}
