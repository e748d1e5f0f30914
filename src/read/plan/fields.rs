//! Maps of the written form: known keys, doubled keys, missing keys.

use std::collections::HashMap;

use foldhash::fast::RandomState;

use super::given::{At, Given, Owner, clip, is_too_long, or_hint, suggest};
use super::reader::Reader;
use crate::check::plan_rules::{bad_id, duplicate_key, missing_key, too_large, unknown_key, wrong_type};
use crate::place::Origin;
use crate::read::limits;
use crate::read::yaml::{Node, Value};

/// The keys of a map so far, with their places. They are anybody's words: the hash is seeded.
type Seen<'n> = HashMap<&'n str, Origin, RandomState>;

/// A map whose keys are known beforehand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fields<'n> {
    /// What the map describes.
    pub(super) owner: Owner<'n>,
    /// Where it was stated: at its name, if it has one.
    pub(super) origin: Origin,
    entries: &'n [(Node<'n>, Node<'n>)],
    keys: &'static [&'static str],
}

/// An entry of a map whose keys are names.
#[derive(Debug, Clone, Copy)]
pub(super) struct Named<'n> {
    /// The name as written, ranges not expanded.
    pub(super) name: &'n str,
    /// Where the name stands.
    pub(super) origin: Origin,
    /// What it is given.
    pub(super) value: &'n Node<'n>,
}

impl<'n> Fields<'n> {
    /// The value of a key, even an empty one.
    pub(super) fn node(&self, key: &'static str) -> Option<&'n Node<'n>> {
        debug_assert!(self.keys.contains(&key), "`{key}` is read but not listed");
        self.entries.iter().find(|(known, _)| known.text() == Some(key)).map(|(_, value)| value)
    }

    /// Whether a key is stated.
    pub(super) fn has(&self, key: &'static str) -> bool {
        self.node(key).is_some()
    }
}

impl Reader<'_> {
    /// Opens a map with known keys. Nothing at all counts as a map without entries.
    pub(super) fn open<'n>(
        &mut self,
        node: &'n Node<'n>,
        keys: &'static [&'static str],
        owner: Owner<'n>,
        origin: Origin,
    ) -> Option<Fields<'n>> {
        let entries: &'n [(Node<'n>, Node<'n>)] = match &node.value {
            Value::Empty => &[],
            Value::Map(entries) => entries,
            _ => {
                self.wrong_type(node, owner.id, &owner.to_string(), "a map");
                return None;
            }
        };
        let mut seen = Seen::default();
        for (key, _) in entries {
            self.check_key(key, &mut seen, keys, owner);
        }
        Some(Fields { owner, origin, entries, keys })
    }

    fn check_key<'n>(
        &mut self,
        key: &'n Node<'n>,
        seen: &mut Seen<'n>,
        keys: &[&str],
        owner: Owner<'_>,
    ) {
        let Some(text) = key.text() else {
            self.wrong_type(key, owner.id, &format!("a key of {owner}"), "a word");
            return;
        };
        if let Some(first) = seen.insert(text, key.origin) {
            self.doubled(text, key.origin, first, &owner.to_string());
        } else if !keys.contains(&text) {
            self.tell(&unknown_key::RULE, key.origin, |_| {
                let message = format!("`{}` means nothing in {owner}", clip(text));
                let finding = unknown_key::RULE.hit(key.origin, owner.id, message);
                let finding = match text {
                    "<<" => finding.hint("merge keys are not part of YAML 1.2; use `defaults`"),
                    _ => suggest(finding, text, keys.iter().copied()),
                };
                or_hint(finding, format!("the keys are `{}`", keys.join("`, `")))
            });
        }
    }

    fn doubled(&mut self, key: &str, at: Origin, first: Origin, owner: &str) {
        let message =
            format!("`{}` stands twice in {owner}; the first is in line {}", clip(key), first.line);
        self.findings.push(duplicate_key::RULE.hit(at, key, message));
    }

    /// The entries of a map whose keys are names; a doubled name is reported and left out.
    pub(super) fn named<'n>(&mut self, node: &'n Node<'n>, section: &str) -> Vec<Named<'n>> {
        let entries: &'n [(Node<'n>, Node<'n>)] = match &node.value {
            Value::Empty => &[],
            Value::Map(entries) => entries,
            _ => {
                self.wrong_type(node, "", section, "a map with the ids as keys");
                return Vec::new();
            }
        };
        let mut seen = Seen::default();
        let mut list = Vec::with_capacity(entries.len());
        for (key, value) in entries {
            let Some(name) = self.name_of(key, section) else { continue };
            match seen.insert(name, key.origin) {
                Some(first) => self.doubled(name, key.origin, first, section),
                None => list.push(Named { name, origin: key.origin, value }),
            }
        }
        list
    }

    /// The text of a key that is a name.
    fn name_of<'n>(&mut self, key: &'n Node<'n>, section: &str) -> Option<&'n str> {
        if let Some(text) = key.text() {
            return Some(text);
        }
        let message = format!("a key of {section} is {}, not an id", key.kind());
        let finding = bad_id::RULE.hit(key.origin, "", message);
        self.findings.push(match key.value {
            Value::List(_) => finding.hint("quote a name that begins with a range: \"[1-16]\""),
            Value::Empty => finding.hint("quote an id that is spelled like nothing: \"null\""),
            _ => finding,
        });
        None
    }

    /// The scalar of a key. Absent: nothing; empty, a map or a list: a finding.
    pub(super) fn given<'n>(&mut self, fields: &Fields<'n>, key: &'static str) -> Option<Given<'n>> {
        let node = fields.node(key)?;
        self.scalar(node, key, fields.owner)
    }

    /// The scalar of a key that must be there.
    pub(super) fn required<'n>(
        &mut self,
        fields: &Fields<'n>,
        key: &'static str,
        example: &str,
    ) -> Option<Given<'n>> {
        if !fields.has(key) {
            self.missing(fields.owner, key, fields.origin, example);
        }
        self.given(fields, key)
    }

    /// Says that a key is missing.
    pub(super) fn missing(&mut self, owner: Owner<'_>, key: &str, at: Origin, example: &str) {
        let finding = missing_key::RULE.hit(at, owner.id, format!("{owner} has no `{key}`"));
        self.findings.push(finding.hint(format!("add `{key}`, such as `{key}: {example}`")));
    }

    /// A node that must be a scalar.
    pub(super) fn scalar<'n>(
        &mut self,
        node: &'n Node<'n>,
        key: &'n str,
        owner: Owner<'n>,
    ) -> Option<Given<'n>> {
        match node.text() {
            Some(text) if is_too_long(text) => {
                let most = limits::CELL_CHARS;
                let message = format!("`{key}` of {owner} is longer than {most} characters");
                self.findings.push(too_large::RULE.hit(node.origin, owner.id, message));
                None
            }
            Some(text) => Some(Given { text, key, owner, at: At::Known(node.origin) }),
            None if node.is_empty() => {
                let message = format!("`{key}` of {owner} has no value");
                self.findings.push(wrong_type::RULE.hit(node.origin, owner.id, message));
                None
            }
            None => {
                self.wrong_type(node, owner.id, &format!("`{key}` of {owner}"), "a single value");
                None
            }
        }
    }

    /// The items of a list; a single value counts as a list of one.
    pub(super) fn one_or_many<'n>(&mut self, fields: &Fields<'n>, key: &'static str) -> Vec<Given<'n>> {
        let Some(node) = fields.node(key) else { return Vec::new() };
        let items = match &node.value {
            Value::List(items) => items.as_slice(),
            _ => std::slice::from_ref(node),
        };
        items.iter().filter_map(|item| self.scalar(item, key, fields.owner)).collect()
    }

    /// Says that something is not of the kind that is expected.
    pub(super) fn wrong_type(&mut self, node: &Node<'_>, id: &str, what: &str, expected: &str) {
        let kind = node.kind();
        let message = format!("{what} is {kind}; expected {expected}");
        self.findings.push(wrong_type::RULE.hit(node.origin, id, message));
    }
}
