//! The findings of an earlier run, from its JSON or JSON Lines.

use std::io::{BufRead, BufReader, Read};
use std::path::Path;

use serde::Deserialize;

use super::Trouble;
use crate::check::Finding;
use crate::check::plan_rules::{missing_file, syntax};
use crate::place::Origin;
use crate::read::sources::{Sources, missing_path};

/// A finding of an earlier run.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Earlier {
    /// Its id.
    pub id: String,
    /// The rule.
    #[serde(default)]
    pub rule: String,
    /// The port.
    #[serde(default)]
    pub subject: String,
    /// What was wrong.
    #[serde(default)]
    pub message: String,
}

/// The whole of a report.
#[derive(Debug, Deserialize)]
struct Whole {
    findings: Vec<Earlier>,
}

/// Reads the findings of an earlier run.
///
/// # Errors
/// The file is missing, or is neither form.
pub fn read_since(path: &Path, sources: &mut Sources) -> Result<Vec<Earlier>, Trouble> {
    let name = path.display().to_string();
    let at = Origin::whole(sources.add(&name, String::new()));
    let file = std::fs::File::open(path).map_err(|error| -> Trouble {
        if error.kind() == std::io::ErrorKind::NotFound {
            let message = format!("no findings of an earlier run at `{name}`: it does not exist");
            return Finding { message, ..missing_path(path, at) }.into();
        }
        missing_file::RULE.hit(at, &name, format!("`{name}` cannot be read: {error}")).into()
    })?;
    let mut input = BufReader::new(file);
    let mut text = String::new();
    let bad = |why: &str| -> Trouble {
        let message = format!("`{name}` is no report of an earlier audit: {why}");
        syntax::RULE.hit(at, &name, message).hint("give the JSON or JSON Lines of an earlier run").into()
    };
    let unread = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::InvalidData => bad("expected JSON, and it is not even text in UTF-8"),
        _ => Trouble::io(format!("reading {name}"))(error),
    };
    // A line of JSON Lines is a whole object; a report is one object over all lines.
    input.read_line(&mut text).map_err(unread)?;
    if text.trim_start().starts_with(|c| c != '{') {
        return Err(bad("expected JSON, which begins with `{`"));
    }
    let bad = |error: serde_json::Error| bad(&error.to_string());
    if let Ok(first) = serde_json::from_str::<Earlier>(&text) {
        let mut all = vec![first];
        for line in input.lines() {
            let line = line.map_err(unread)?;
            if !line.trim().is_empty() {
                all.push(serde_json::from_str(&line).map_err(bad)?);
            }
        }
        return Ok(all);
    }
    input.read_to_string(&mut text).map_err(unread)?;
    if text.trim().is_empty() {
        // JSON Lines without a finding.
        return Ok(Vec::new());
    }
    Ok(serde_json::from_str::<Whole>(&text).map_err(bad)?.findings)
}
