//! YAML text to a tree of values with their places.
//!
//! The only file that knows `serde-saphyr`. That crate was chosen because it gives the byte place of
//! every value, hands both entries of a doubled key on, and enforces budgets while it parses; it is
//! hidden here so that it can be exchanged. Nothing is inferred: `1.10`, `1:32`, `007` and `no` stay
//! the text that was written.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_saphyr::budget::BudgetBreach;
use serde_saphyr::options::{DuplicateKeyPolicy, MergeKeyPolicy, NonFiniteFloatPolicy};
use serde_saphyr::{Error, Location, Options, Spanned};

use super::limits;
use crate::check::Finding;
use crate::check::plan_rules::{syntax, too_large};
use crate::place::{FileId, Origin};

/// A value of a YAML document and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node<'t> {
    /// Where it stands; for a map or list in block style, its first character.
    pub origin: Origin,
    /// What it is.
    pub value: Value<'t>,
}

/// What a [`Node`] is.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'t> {
    /// Nothing: `key:`, `~` or `null`.
    Empty,
    /// A scalar, as written but without quotes and escapes.
    Text(Cow<'t, str>),
    /// A list.
    List(Vec<Node<'t>>),
    /// A map in written order; doubled keys stand twice.
    Map(Vec<(Node<'t>, Node<'t>)>),
}

impl Node<'_> {
    /// The text of a scalar.
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Whether nothing stands there.
    pub const fn is_empty(&self) -> bool {
        matches!(self.value, Value::Empty)
    }

    /// What it is, in words.
    pub const fn kind(&self) -> &'static str {
        match self.value {
            Value::Empty => "nothing",
            Value::Text(_) => "a single value",
            Value::List(_) => "a list",
            Value::Map(_) => "a map",
        }
    }
}

/// Reads a YAML document.
///
/// # Errors
/// One finding: the text is not one YAML document, or breaks a limit. What comes after such a fault
/// cannot be understood, so it is the only finding of the file.
pub fn parse(text: &str, file: FileId) -> Result<Node<'_>, Finding> {
    let raw: RawNode<'_> = serde_saphyr::from_str_with_options(text, options())
        .map_err(|error| fault(&error, text, file))?;
    Ok(raw.finish(text, file))
}

fn options() -> Options {
    // An alias costs work for every event under its anchor, so what may be kept and replayed is
    // bounded far below the number of nodes.
    const REPLAYED: usize = 200_000;
    serde_saphyr::options! {
        budget: serde_saphyr::budget! {
            max_nodes: limits::NODES,
            max_events: limits::NODES * 3,
            max_depth: limits::DEPTH,
            flow_nesting_limit: limits::DEPTH,
            max_aliases: limits::ALIASES,
            max_anchors: limits::ALIASES,
            max_recorded_anchor_events: REPLAYED,
            max_total_scalar_bytes: limits::PLAN_BYTES as usize,
            max_documents: 2,
        },
        alias_limits: serde_saphyr::alias_limits! { max_total_replayed_events: REPLAYED },
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        merge_keys: MergeKeyPolicy::AsOrdinary,
        non_finite_float_policy: NonFiniteFloatPolicy::PassThrough,
        reject_unsupported_tags: true,
        with_snippet: false,
    }
}

/// A node as the parser hands it over: the scalars that it took for numbers, booleans or nothing
/// have lost their text, which is fetched from the source afterwards.
struct RawNode<'t> {
    used: Location,
    defined: Location,
    value: RawValue<'t>,
}

enum RawValue<'t> {
    Empty,
    Inferred,
    Text(Cow<'t, str>),
    List(Vec<RawNode<'t>>),
    Map(Vec<(RawNode<'t>, RawNode<'t>)>),
}

impl<'t> RawNode<'t> {
    /// Recursion is no danger here: the parser has refused deep nesting.
    fn finish(self, text: &'t str, file: FileId) -> Node<'t> {
        let value = match self.value {
            RawValue::Empty => Value::Empty,
            RawValue::Inferred => Value::Text(Cow::Borrowed(slice(text, self.defined))),
            RawValue::Text(written) => Value::Text(written),
            RawValue::List(items) => {
                Value::List(items.into_iter().map(|item| item.finish(text, file)).collect())
            }
            RawValue::Map(entries) => Value::Map(
                entries
                    .into_iter()
                    .map(|(key, value)| (key.finish(text, file), value.finish(text, file)))
                    .collect(),
            ),
        };
        Node { origin: origin(text, file, self.used), value }
    }
}

fn slice(text: &str, at: Location) -> &str {
    let span = at.span();
    let start = span.byte_offset().unwrap_or_default() as usize;
    let end = start + span.byte_len().unwrap_or_default() as usize;
    text.get(start..end).unwrap_or_default()
}

fn origin(text: &str, file: FileId, at: Location) -> Origin {
    let span = at.span();
    let start = span.byte_offset().unwrap_or_else(|| byte_of(text, at) as u64);
    Origin {
        file,
        line: at.line() as u32,
        column: at.column() as u32,
        start: start as u32,
        length: span.byte_len().unwrap_or_default() as u32,
    }
}

/// The byte of a line and a column in characters: faults of the scanner know no byte.
fn byte_of(text: &str, at: Location) -> usize {
    let line = (at.line() as usize).saturating_sub(1);
    let ends = text.match_indices('\n').map(|(end, _)| end + 1);
    let start = std::iter::once(0).chain(ends).nth(line).unwrap_or(text.len());
    let column = (at.column() as usize).saturating_sub(1);
    text[start..].char_indices().nth(column).map_or(text.len(), |(byte, _)| start + byte)
}

impl<'de> Deserialize<'de> for RawNode<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let node = Spanned::<RawValue<'de>>::deserialize(deserializer)?;
        Ok(Self { used: node.referenced, defined: node.defined, value: node.value })
    }
}

impl<'de> Deserialize<'de> for RawValue<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = RawValue<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value, a list or a map")
    }

    fn visit_bool<E>(self, _: bool) -> Result<Self::Value, E> {
        Ok(RawValue::Inferred)
    }

    fn visit_i64<E>(self, _: i64) -> Result<Self::Value, E> {
        Ok(RawValue::Inferred)
    }

    fn visit_u64<E>(self, _: u64) -> Result<Self::Value, E> {
        Ok(RawValue::Inferred)
    }

    fn visit_f64<E>(self, _: f64) -> Result<Self::Value, E> {
        Ok(RawValue::Inferred)
    }

    fn visit_unit<E>(self) -> Result<Self::Value, E> {
        Ok(RawValue::Empty)
    }

    fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Self::Value, E> {
        Ok(RawValue::Text(Cow::Borrowed(text)))
    }

    fn visit_str<E>(self, text: &str) -> Result<Self::Value, E> {
        Ok(RawValue::Text(Cow::Owned(text.to_string())))
    }

    fn visit_string<E>(self, text: String) -> Result<Self::Value, E> {
        Ok(RawValue::Text(Cow::Owned(text)))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let mut items = Vec::new();
        while let Some(item) = list.next_element()? {
            items.push(item);
        }
        Ok(RawValue::List(items))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut entries = Vec::new();
        while let Some(key) = map.next_key()? {
            entries.push((key, map.next_value()?));
        }
        Ok(RawValue::Map(entries))
    }
}

/// Words a fault of the parser; budgets are worded as the limit that was broken.
fn fault(error: &Error, text: &str, file: FileId) -> Finding {
    let error = error.without_snippet();
    let at = error.location().map_or(Origin::whole(file), |at| origin(text, file, at));
    match error {
        Error::Budget { breach, .. } => over_budget(breach, at),
        Error::AliasError { error: inner, locations, .. } => {
            let finding = fault(inner, text, file);
            Finding { origin: origin(text, file, locations.reference_location), ..finding }
        }
        Error::AliasReplayLimitExceeded { .. }
        | Error::AliasExpansionLimitExceeded { .. }
        | Error::AliasReplayStackDepthExceeded { .. } => aliases_grow(at),
        Error::RecursiveReferencesRequireWeakTypes { .. } => {
            broken(at, "an alias (`*name`) stands inside the value that it repeats")
        }
        Error::UnknownAnchor { .. } => {
            broken(at, "an alias (`*name`) for which there is no anchor (`&name`) before it")
                .hint("quote a text that begins with `*`")
        }
        Error::MultipleDocuments { .. } => {
            broken(at, "a second YAML document begins here; a plan is one document")
                .hint("take the line `---` or `...` out, or put each plan in its own file")
        }
        Error::UnsupportedTag { tag, .. } => {
            broken(at, format!("the tag `{tag}` has no meaning in a plan"))
                .hint("quote a text that begins with `!`")
        }
        Error::ExternalMessage { msg, .. } => scanner_fault(msg, at, text),
        other => broken(at, unplaced(&other.to_string())),
    }
}

fn broken(at: Origin, message: impl Into<String>) -> Finding {
    syntax::RULE.hit(at, "", message)
}

fn aliases_grow(at: Origin) -> Finding {
    too_large::RULE.hit(at, "", "the aliases (`*name`) of the file repeat too much text")
}

fn over_budget(breach: &BudgetBreach, at: Origin) -> Finding {
    let too_much = |message: String| too_large::RULE.hit(at, "", message);
    match breach {
        BudgetBreach::Depth { .. } => too_deep(at),
        BudgetBreach::Nodes { .. } | BudgetBreach::Events { .. } => {
            too_much(format!("the file holds more than {} values", limits::NODES))
                .hint("put bulk rows in a CSV table: `- { table: drops.csv }`")
        }
        BudgetBreach::Aliases { .. } | BudgetBreach::Anchors { .. } => {
            too_much(format!("the file holds more than {} aliases", limits::ALIASES))
        }
        _ => aliases_grow(at),
    }
}

fn too_deep(at: Origin) -> Finding {
    let message = format!("nested deeper than {} levels", limits::DEPTH);
    too_large::RULE.hit(at, "", message).hint("a plan needs no more than about ten levels")
}

/// A fault in the characters themselves. The usual causes get their own words; the parser's words
/// are kept for the rest.
fn scanner_fault(message: &str, at: Origin, text: &str) -> Finding {
    if message.contains("recursion limit") {
        return too_deep(at);
    }
    let line = text.get(..at.start as usize).map_or("", |before| {
        let start = before.rfind('\n').map_or(0, |end| end + 1);
        text[start..].lines().next().unwrap_or_default()
    });
    let finding = broken(at, unplaced(message));
    if line.trim_start_matches(' ').starts_with('\t') || message.contains("a tab") {
        return finding.hint("a tab stands in the indentation; YAML takes only blanks there");
    }
    if has_bare_range(line) {
        return finding
            .hint("between `{` and `}` a name with a range must be quoted: \"home-[001-032]\"");
    }
    match message {
        _ if message.contains("mapping values are not allowed") => {
            finding.hint("quote a value that holds `: `, and check the indentation")
        }
        _ if message.contains("did not find expected ',' or") => {
            finding.hint("a comma is missing, or a bracket further up is not closed")
        }
        _ if message.contains("unexpected character") => {
            finding.hint("quote a value that begins with this character")
        }
        _ => finding,
    }
}

/// Whether a line holds an unquoted `[1-32]` behind a name, inside braces.
fn has_bare_range(line: &str) -> bool {
    let Some(open) = line.find('[') else { return false };
    let before = line[..open].chars().next_back();
    let ranged = line[open + 1..].split(']').next().unwrap_or_default();
    let digits = ranged.bytes().all(|b| b.is_ascii_digit() || b == b'-') && ranged.contains('-');
    line.contains('{') && digits && before.is_some_and(|c| c.is_alphanumeric() || "-/_.".contains(c))
}

/// The parser's message without its own place: the finding carries that.
fn unplaced(message: &str) -> String {
    let end = message.find(" at line ").unwrap_or(message.len());
    message[..end].to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> Node<'_> {
        parse(text, FileId(0)).expect("YAML")
    }

    fn entries<'n, 't>(node: &'n Node<'t>) -> &'n [(Node<'t>, Node<'t>)] {
        match &node.value {
            Value::Map(entries) => entries,
            _ => panic!("not a map"),
        }
    }

    /// YAML 1.2.2, chapters 7 and 10.3: what a schema would make numbers or booleans of.
    #[test]
    fn text_stays_as_written() {
        let plain = ["1.10", "1:32", "007", "no", "0x1F", "1e999", ".nan", "-0", "2031-04-02", "+5"];
        for written in plain {
            let text = format!("key: {written}\n");
            assert_eq!(entries(&tree(&text))[0].1.text(), Some(written));
            let text = format!("{written}: value\n");
            assert_eq!(entries(&tree(&text))[0].0.text(), Some(written));
            let text = format!("[{written}, {written}]");
            let Value::List(items) = tree(&text).value else { panic!("not a list") };
            assert!(items.iter().all(|item| item.text() == Some(written)), "{written}");
        }
        let quoted = tree("a: \"x\\ty\"\nb: 'it''s'\nc: |\n  one\n  two\nd: ~\ne:\n");
        let texts: Vec<_> = entries(&quoted).iter().map(|(_, value)| value.text()).collect();
        assert_eq!(texts, [Some("x\ty"), Some("it's"), Some("one\ntwo\n"), None, None]);
        assert!(entries(&quoted)[4].1.is_empty());
    }

    #[test]
    fn places_are_those_of_the_source() {
        let text = "größe: [ä, \"ö ü\"]\nnext: 1.50\n";
        let node = tree(text);
        let slice = |node: &Node<'_>| {
            let at = node.origin;
            text[at.start as usize..(at.start + at.length) as usize].to_string()
        };
        let Value::List(items) = &entries(&node)[0].1.value else { panic!("not a list") };
        assert_eq!(slice(&items[1]), "\"ö ü\"");
        assert_eq!((items[1].origin.line, items[1].origin.column), (1, 12));
        assert_eq!(slice(&entries(&node)[1].1), "1.50");
    }

    #[test]
    fn doubled_keys_and_merge_keys_come_through() {
        let node = tree("a: 1\na: 2\n<<: {b: 3}\n");
        let keys: Vec<_> = entries(&node).iter().map(|(key, _)| key.text()).collect();
        assert_eq!(keys, [Some("a"), Some("a"), Some("<<")]);
    }

    #[test]
    fn an_alias_stands_where_it_is_used() {
        let node = tree("a: &x {n: 1.10}\nb: *x\n");
        let alias = &entries(&node)[1].1;
        assert_eq!(alias.origin.line, 2);
        assert_eq!(entries(alias)[0].1.text(), Some("1.10"));
    }

    #[test]
    fn a_fault_without_a_byte_gets_one() {
        let fault = parse("ä: 1\nb: @x\n", FileId(0)).expect_err("a fault");
        assert_eq!(fault.rule.id, "plan.syntax");
        assert_eq!((fault.origin.line, fault.origin.column, fault.origin.start), (2, 4, 9));
    }
}
