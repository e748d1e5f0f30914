//! The written form of a plan: every key with what it means, and the JSON Schema made of them.
//!
//! One list of keys per section: the reader accepts exactly the keys that stand here, and
//! [`plan_schema`] describes exactly them, so that an editor completes what the reader takes.

mod devices;
mod sections;
mod values;

use schemars::generate::SchemaSettings;

pub(crate) use devices::{
    AttenuatorForm, CardForm, OntForm, PanelForm, PlaceForm, PortForm, ShelfForm,
    SpliceCaseForm, SplitterForm, TapForm, WdmElementForm,
};
pub(crate) use sections::{
    AllowancesForm, ConnectorForm, DefaultsForm, JointForm, OntEntryForm, PlanForm, RepairForm,
    SpanForm,
};

/// Declares the written form of a section: a documented struct for the schema, and the list of its
/// keys for the reader.
macro_rules! form {
    (
        $(#[$about:meta])*
        $name:ident { $($(#[$doc:meta])* $key:literal $field:ident: $type:ty),+ $(,)? }
    ) => {
        #[derive(schemars::JsonSchema)]
        #[schemars(deny_unknown_fields)]
        $(#[$about])*
        #[allow(dead_code, reason = "the fields are read by the schema generator alone")]
        pub(crate) struct $name {
            $($(#[$doc])* #[schemars(rename = $key)] $field: $type,)+
        }

        impl $name {
            /// The keys of this section.
            pub(crate) const KEYS: &'static [&'static str] = &[$($key),+];
        }
    };
}
use form;

/// The JSON Schema (draft 2020-12) of a plan file.
pub fn plan_schema() -> serde_json::Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    generator.into_root_schema_for::<PlanForm>().to_value()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_schema_names_its_draft_and_every_top_key() {
        let schema = plan_schema();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["additionalProperties"], false);
        let properties = schema["properties"].as_object().expect("properties");
        let keys: Vec<&str> = properties.keys().map(String::as_str).collect();
        assert_eq!(keys, PlanForm::KEYS);
        assert_eq!(schema["required"], serde_json::json!(["spanwright"]));
    }

    #[test]
    fn every_key_is_described() {
        fn walk(value: &serde_json::Value, path: &str) {
            if let Some(properties) = value.get("properties").and_then(|p| p.as_object()) {
                for (key, form) in properties {
                    assert!(form.get("description").is_some(), "{path}/{key} has no description");
                }
            }
            match value {
                serde_json::Value::Object(map) => {
                    map.iter().for_each(|(key, inner)| walk(inner, &format!("{path}/{key}")));
                }
                serde_json::Value::Array(list) => list.iter().for_each(|inner| walk(inner, path)),
                _ => {}
            }
        }
        walk(&plan_schema(), "");
    }
}
