//! The JSON Schema of the plan format and the reader take the same plans.
//!
//! A small validator of the keywords that the schema uses (JSON Schema, draft 2020-12) reads every
//! shipped example and every sound test plan; a second general-purpose YAML reader stands under it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use spanwright::read::plan::from_text;
use spanwright::read::schema::plan_schema;

/// Every plan that is sound: the examples and the cases without findings.
fn sound_plans() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut plans = Vec::new();
    let mut folders = vec![root.join("examples"), root.join("tests/rules/sound")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "yaml") {
                plans.push(path);
            }
        }
    }
    plans.sort();
    assert!(plans.len() >= 10, "{plans:?}");
    plans
}

/// YAML as a JSON value: keys become texts, as an editor's language server sees them.
fn as_json(value: &serde_yaml::Value) -> Value {
    match value {
        serde_yaml::Value::Null => Value::Null,
        serde_yaml::Value::Bool(value) => json!(value),
        serde_yaml::Value::Number(number) => json!(number.as_f64()),
        serde_yaml::Value::String(text) => json!(text),
        serde_yaml::Value::Sequence(items) => items.iter().map(as_json).collect(),
        serde_yaml::Value::Mapping(map) => {
            let key = |key: &serde_yaml::Value| match as_json(key) {
                Value::String(text) => text,
                other => other.to_string(),
            };
            Value::Object(map.iter().map(|(k, v)| (key(k), as_json(v))).collect())
        }
        serde_yaml::Value::Tagged(tagged) => as_json(&tagged.value),
    }
}

fn is_of_type(value: &Value, kind: &str) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        "array" => value.is_array(),
        "object" => value.is_object(),
        _ => panic!("type `{kind}` is not known to this validator"),
    }
}

/// Checks a value; gives the first fault with its path.
fn check(schema: &Value, value: &Value, root: &Value, path: &str) -> Result<(), String> {
    let Some(schema) = schema.as_object() else {
        return if schema == &json!(false) { Err(format!("{path}: not allowed")) } else { Ok(()) };
    };
    for (keyword, wanted) in schema {
        let fault = || Err(format!("{path}: {value} breaks {keyword} {wanted}"));
        let ok = match keyword.as_str() {
            "$ref" => {
                let pointer = wanted.as_str().expect("a reference").trim_start_matches('#');
                check(root.pointer(pointer).expect("a definition"), value, root, path)?;
                true
            }
            "type" => match wanted {
                Value::String(kind) => is_of_type(value, kind),
                kinds => {
                    let kinds = kinds.as_array().expect("a list");
                    kinds.iter().any(|kind| is_of_type(value, kind.as_str().expect("a type")))
                }
            },
            "const" => value == wanted || value.as_f64() == wanted.as_f64() && value.is_number(),
            "enum" => wanted.as_array().expect("a list").contains(value),
            "minimum" => {
                value.as_f64().is_none_or(|number| number >= wanted.as_f64().expect("a number"))
            }
            "maximum" => {
                value.as_f64().is_none_or(|number| number <= wanted.as_f64().expect("a number"))
            }
            "anyOf" | "oneOf" => {
                let fits = |one: &&Value| check(one, value, root, path).is_ok();
                let count = wanted.as_array().expect("a list").iter().filter(fits).count();
                count == 1 || keyword == "anyOf" && count > 1
            }
            "required" => {
                let keys = wanted.as_array().expect("a list");
                keys.iter().all(|key| value.get(key.as_str().expect("a key")).is_some())
            }
            "items" if !schema.contains_key("prefixItems") => {
                for (index, item) in value.as_array().into_iter().flatten().enumerate() {
                    check(wanted, item, root, &format!("{path}/{index}"))?;
                }
                true
            }
            "prefixItems" => {
                let schemas = wanted.as_array().expect("a list").iter();
                for (one, item) in schemas.zip(value.as_array().into_iter().flatten()) {
                    check(one, item, root, path)?;
                }
                true
            }
            "minItems" => {
                value.as_array().is_none_or(|v| v.len() as f64 >= wanted.as_f64().unwrap_or(0.0))
            }
            "maxItems" => {
                value.as_array().is_none_or(|v| v.len() as f64 <= wanted.as_f64().unwrap_or(0.0))
            }
            "minProperties" => value.as_object().is_none_or(|map| !map.is_empty()),
            "properties" | "additionalProperties" => {
                check_members(schema, value, root, path)?;
                true
            }
            "description" | "title" | "examples" | "$schema" | "$defs" => true,
            other => panic!("keyword `{other}` is not known to this validator"),
        };
        if !ok {
            return fault();
        }
    }
    Ok(())
}

fn check_members(
    schema: &serde_json::Map<String, Value>,
    value: &Value,
    root: &Value,
    path: &str,
) -> Result<(), String> {
    let none = json!({});
    for (key, member) in value.as_object().into_iter().flatten() {
        let named = schema.get("properties").and_then(|properties| properties.get(key));
        let other = schema.get("additionalProperties").unwrap_or(&none);
        check(named.unwrap_or(other), member, root, &format!("{path}/{key}"))?;
    }
    Ok(())
}

#[test]
fn every_sound_plan_fits_the_schema() {
    let schema = plan_schema();
    for plan in sound_plans() {
        let text = std::fs::read_to_string(&plan).expect("a plan");
        let text = text.trim_start_matches('\u{FEFF}');
        let value: serde_yaml::Value = serde_yaml::from_str(text).expect("YAML");
        if let Err(fault) = check(&schema, &as_json(&value), &schema, "") {
            panic!("{}: {fault}", plan.display());
        }
    }
}

/// The reader refuses a key that the schema does not have, and the schema refuses it too.
#[test]
fn what_the_reader_refuses_the_schema_refuses() {
    let schema = plan_schema();
    for text in [
        "spanwright: 1\npanles: {}\n",
        "spanwright: 1\npanels: {odf-1: {positions: 4, height: 2}}\n",
        "spanwright: 1\npanels: {odf-1: {}}\n",
        "spanwright: 1\nspans: {a: {from: x, to: y}}\n",
        "spanwright: 1\nspans: [{from: x, to: y, length: 1 km, kind: dropp}]\n",
        "spanwright: 2\n",
        "title: x\n",
        "spanwright: 1\nplaces: {p: {at: [95, 0]}}\n",
        "spanwright: 1\nonts: [{id: a, optics: b}]\n",
        "spanwright: 1\nspans: [{from: x, to: y, length: }]\n",
        "spanwright: 1\nend-connectors: sometimes\n",
    ] {
        let value: serde_yaml::Value = serde_yaml::from_str(text).expect("YAML");
        assert!(check(&schema, &as_json(&value), &schema, "").is_err(), "schema takes {text}");
        assert!(from_text("plan.yaml", text, None).is_bad_input(), "reader takes {text}");
    }
}

/// One sound plan uses every key there is, so that a key that the reader does not take, or that the
/// schema does not tell, is found.
#[test]
fn every_key_of_the_schema_is_read_without_a_finding() {
    let mut known = BTreeSet::new();
    collect(&plan_schema(), &mut known);
    let plan = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rules/sound/every-key.yaml");
    let text = std::fs::read_to_string(&plan).expect("the plan");
    for key in &known {
        let used = text.contains(&format!("{key}:"));
        assert!(used, "`{key}` is not used in {}", plan.display());
    }
    assert!(known.len() > 50, "{known:?}");
}

fn collect(schema: &Value, keys: &mut BTreeSet<String>) {
    if let Some(properties) = schema.get("properties").and_then(Value::as_object) {
        keys.extend(properties.keys().cloned());
    }
    match schema {
        Value::Object(map) => map.values().for_each(|inner| collect(inner, keys)),
        Value::Array(list) => list.iter().for_each(|inner| collect(inner, keys)),
        _ => {}
    }
}
