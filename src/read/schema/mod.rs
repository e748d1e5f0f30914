//! The written form of a plan: every key with what it means, and the JSON Schema made of them.
//!
//! One list of keys per section: the reader accepts exactly the keys that stand here, and
//! [`plan_schema`] describes exactly them, so that an editor completes what the reader takes.

mod devices;
mod sections;
mod values;

use schemars::generate::SchemaSettings;
use serde_json::Value;

pub(crate) use devices::{
    AttenuatorForm, CardForm, OntForm, PanelForm, PlaceForm, PortForm, ShelfForm, SpliceCaseForm,
    SplitterForm, TapForm, WdmElementForm,
};
pub(crate) use sections::{
    AllowancesForm, ConnectorForm, DefaultsForm, EquipmentForm, JointForm, OntEntryForm, PlanForm,
    RepairForm, SpanForm,
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
pub fn plan_schema() -> Value {
    let generator = SchemaSettings::draft2020_12().into_generator();
    let mut schema = generator.into_root_schema_for::<PlanForm>().to_value();
    refuse_null(&mut schema);
    schema
}

/// A key may be left out, but a key without a value is a fault: where the generator allows either
/// a form or nothing, the form stays. (Under a name of one's own, as in `pole-1:`, nothing is taken
/// for an empty map; that is not a property and stays as it is.)
fn refuse_null(schema: &mut Value) {
    if let Some(properties) = schema.get_mut("properties").and_then(Value::as_object_mut) {
        for property in properties.values_mut().filter_map(Value::as_object_mut) {
            let null = serde_json::json!({ "type": "null" });
            let Some(Value::Array(forms)) = property.get_mut("anyOf") else { continue };
            forms.retain(|form| *form != null);
            if let [Value::Object(form)] = forms.as_slice() {
                let form = form.clone();
                property.remove("anyOf");
                property.extend(form);
            }
        }
    }
    match schema {
        Value::Object(map) => map.values_mut().for_each(refuse_null),
        Value::Array(list) => list.iter_mut().for_each(refuse_null),
        _ => {}
    }
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
        fn walk(value: &Value, path: &str) {
            if let Some(properties) = value.get("properties").and_then(|p| p.as_object()) {
                for (key, form) in properties {
                    assert!(form.get("description").is_some(), "{path}/{key} has no description");
                }
            }
            match value {
                Value::Object(map) => {
                    map.iter().for_each(|(key, inner)| walk(inner, &format!("{path}/{key}")));
                }
                Value::Array(list) => list.iter().for_each(|inner| walk(inner, path)),
                _ => {}
            }
        }
        walk(&plan_schema(), "");
    }
}
