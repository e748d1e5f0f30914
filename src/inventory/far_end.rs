//! A far end that stands in one cell: which part of it is the site, and which the port.
//!
//! The port begins at the last word that begins a name with numbers: letters that touch the numbers
//! (`Te1/0/3`) and words for ports before them (`eth-1/1/3`, `PON 3`, `port no. 3`) belong to it, and so
//! do numbers that blanks part (`1 1 3`). What stands before it is the site: its blanks are kept, commas,
//! colons and dashes at its end are not. A port may stand first where `@` or `at` parts it from its site.
//! What stands in brackets behind `via` or `through` is the way, and no part of the name.

/// Words for ports, by the letters behind their digits (`10GE`): words of the trade and the short names
/// that interfaces carry (common practice).
const PORT_WORDS: [&str; 25] = [
    "port",
    "prt",
    "no",
    "nr",
    "number",
    "interface",
    "if",
    "int",
    "ethernet",
    "eth",
    "fe",
    "ge",
    "gi",
    "gige",
    "te",
    "tengige",
    "xe",
    "lag",
    "ae",
    "lane",
    "pon",
    "gpon",
    "epon",
    "xgpon",
    "xgspon",
];

/// Signs that part a site from its port, and numbers of a port from each other.
const MARKS: &str = ":|_-/@,;#=>";

/// Parts a far end into site and port: `VTC 1/1/1`, `vtc:1-1-1`, `Alder Reach, eth-1/1/3`,
/// `1/1/6 @ Brack Fen`. `None` where no site and no port can be told from it.
pub fn part(written: &str) -> Option<(&str, &str)> {
    match without_way(written) {
        (text, "") => turned(without_lead(text)).or_else(|| at_port(without_lead(text))),
        (site, port) => (port_start(port) == Some(0)).then_some((named(without_lead(site))?, port)),
    }
}

/// Without an arrow or `to` in front.
fn without_lead(text: &str) -> &str {
    let text = text.trim_start_matches(|c: char| !c.is_alphanumeric());
    strip_word(text, "to ").unwrap_or(text)
}

/// Whether a cell names two far ends: `BRF 1/1/11 / BRF 1/1/12`, `BRF 1/1/11 & ALD PON 2`.
pub fn are_two(written: &str) -> bool {
    let parting = |(at, c): (usize, char)| match c {
        ';' | '&' | '+' => Some((at, at + 1)),
        ',' if written[at + 1..].starts_with(' ') => Some((at, at + 1)),
        ' ' => [" / ", " or ", " and "].into_iter().find_map(|word| {
            let found = strip_word(&written[at..], word).is_some();
            found.then_some((at, at + word.len()))
        }),
        _ => None,
    };
    let mut partings = written.char_indices().filter_map(parting);
    partings.any(|(before, after)| both_are_far_ends(&written[..before], &written[after..]))
}

/// Whether both sides of a sign are ports for sure, or name one site.
fn both_are_far_ends(left: &str, right: &str) -> bool {
    let (left, right) = (left.trim(), right.trim());
    let (Some(a), Some(b)) = (port_start(left), port_start(right)) else { return false };
    if is_surely_port(&left[a..]) && is_surely_port(&right[b..]) {
        return true;
    }
    match (named(&left[..a]), named(&right[..b])) {
        (Some(one), Some(other)) => one.eq_ignore_ascii_case(other),
        _ => false,
    }
}

/// Whether a port has more than a number, which might be the number of a hut.
fn is_surely_port(port: &str) -> bool {
    let numbers = port.split(|c: char| !c.is_ascii_digit()).filter(|run| !run.is_empty());
    let word = last_word(port).map_or("", |(start, _)| &port[..start]);
    numbers.take(2).count() == 2 || last_word(word).is_some_and(|(at, end)| is_port_word(&word[at..end]))
}

/// What stands before and behind a way in brackets; all of it and nothing where there is none.
fn without_way(text: &str) -> (&str, &str) {
    let all = (text.trim_end(), "");
    let Some(open) = text.find(['(', '[']) else { return all };
    let inner = text[open + 1..].trim_start();
    if strip_word(inner, "via ").or_else(|| strip_word(inner, "through ")).is_none() {
        return all;
    }
    let behind = text[open..].find([')', ']']).map_or("", |close| &text[open + close + 1..]);
    (text[..open].trim_end(), behind.trim())
}

/// `1/1/6 @ Brack Fen`, `PON 3 at Brack Fen`: the port comes first.
fn turned(text: &str) -> Option<(&str, &str)> {
    let at_sign = text.find('@').map(|at| (at, at + 1));
    let mut words = text.char_indices().filter(|(at, _)| strip_word(&text[*at..], " at ").is_some());
    let (end, start) = at_sign.or_else(|| words.next().map(|(at, _)| (at, at + 4)))?;
    let port = text[..end].trim();
    (port_start(port) == Some(0)).then_some((named(&text[start..])?, port))
}

/// Cuts before the port.
fn at_port(text: &str) -> Option<(&str, &str)> {
    let start = port_start(text)?;
    if let Some(site) = named(&text[..start]) {
        return Some((site, &text[start..]));
    }
    // Only signs part `BRF2/1/1/1`: the first of them behind which a number stands ends the site.
    let word = text.get(start..)?;
    let letters = word.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(word.len());
    if letters == 0 || is_port_word(&word[..letters]) {
        return None;
    }
    let number_behind = |at: &usize| word[at + 1..].starts_with(|c: char| c.is_ascii_digit());
    let at = word.match_indices([':', '|', '_', '/', '-']).map(|(at, _)| at).find(number_behind)?;
    Some((named(&word[..at])?, &word[at + 1..]))
}

/// The name of a site without the signs behind it; `None` where nothing is left.
fn named(site: &str) -> Option<&str> {
    let site = site.trim_start_matches(|c: char| !c.is_alphanumeric());
    let site = site.trim_end_matches(|c: char| !c.is_alphanumeric() && c != '.' && c != ')');
    (!site.is_empty()).then_some(site)
}

/// Where the port begins: at the last word with a number, or at what belongs to it before.
fn port_start(text: &str) -> Option<usize> {
    // A remark in brackets at the end is no port, where one stands before it.
    let remark = text.rfind(['(', '[']).filter(|_| text.ends_with([')', ']']));
    let has_number = |text: &&str| text.contains(|c: char| c.is_ascii_digit());
    let mut rest = remark.map(|open| &text[..open]).filter(has_number).unwrap_or(text);
    let (mut start, mut word) = loop {
        let (start, end) = last_word(rest)?;
        if has_number(&&rest[start..end]) {
            break (start, &rest[start..end]);
        }
        rest = &rest[..start];
    };
    while let Some((before, end)) = last_word(&text[..start]) {
        let (earlier, gap) = (&text[before..end], &text[end..start]);
        let joined = is_port_word(earlier)
            || (is_number(earlier)
                && is_number(word)
                && gap.chars().all(|c| matches!(c, ' ' | '/' | '-')))
            || (earlier.starts_with(|c: char| c.is_ascii_digit()) && matches!(gap, "/" | "-"));
        if !joined {
            break;
        }
        (start, word) = (before, earlier);
    }
    Some(start)
}

/// The last word, from its first byte to behind its last. Blanks part words, and so do marks that do not
/// stand between two numbers.
fn last_word(text: &str) -> Option<(usize, usize)> {
    let digit = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    let bytes = text.as_bytes();
    let parts = |at: usize, c: char| {
        let between = || at > 0 && digit(bytes.get(at - 1)) && digit(bytes.get(at + 1));
        c.is_whitespace() || (MARKS.contains(c) && !between())
    };
    let mut letters = text.char_indices().rev().skip_while(|(at, c)| parts(*at, *c));
    let (at, c) = letters.next()?;
    let end = at + c.len_utf8();
    let start = letters.find(|(at, c)| parts(*at, *c)).map_or(0, |(at, c)| at + c.len_utf8());
    Some((start, end))
}

fn is_number(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_digit())
}

fn is_port_word(word: &str) -> bool {
    let letters = word.trim_start_matches(|c: char| c.is_ascii_digit()).trim_end_matches('.');
    PORT_WORDS.iter().any(|known| known.eq_ignore_ascii_case(letters))
}

fn strip_word<'t>(text: &'t str, word: &str) -> Option<&'t str> {
    let head = text.get(..word.len())?;
    head.eq_ignore_ascii_case(word).then(|| &text[word.len()..])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The forms in which people write a far end into one cell (common practice).
    #[test]
    fn site_and_port_are_parted_before_the_port() {
        for (written, site, port) in [
            ("VTC 1/1/1", "VTC", "1/1/1"),
            ("->VTC:1-1-1", "VTC", "1-1-1"),
            ("to VTC 1/1/1", "VTC", "1/1/1"),
            ("VTC/1/1/1", "VTC", "1/1/1"),
            ("VTC=>1/1/1", "VTC", "1/1/1"),
            ("VTC -> 1/1/1", "VTC", "1/1/1"),
            ("VTC (1/1/1)", "VTC", "(1/1/1)"),
            ("ALDER REACH 1/1/1", "ALDER REACH", "1/1/1"),
            ("BRF-1/1/1", "BRF", "1/1/1"),
            ("Brack Fen-1/1/1", "Brack Fen", "1/1/1"),
            ("Alder Reach, eth-1/1/3", "Alder Reach", "eth-1/1/3"),
            ("Alder Reach: PON 3", "Alder Reach", "PON 3"),
            ("Alder Reach - port no. 3", "Alder Reach", "port no. 3"),
            ("Alder Reach Te1/0/3", "Alder Reach", "Te1/0/3"),
            ("VTC 10GE 1/0/2", "VTC", "10GE 1/0/2"),
            ("BRF 1/2/PON 3", "BRF", "1/2/PON 3"),
            ("BRF 1/1/1:2", "BRF", "1/1/1:2"),
            ("BRF 1 1 3", "BRF", "1 1 3"),
            ("BRF 1 / 1 / 3", "BRF", "1 / 1 / 3"),
            ("Hut 4 1/1/1", "Hut 4", "1/1/1"),
            ("Skärn-2 1/1/1", "Skärn-2", "1/1/1"),
            ("BRF2/1/1/1", "BRF2", "1/1/1"),
            ("Stow at Alder 1/1/1", "Stow at Alder", "1/1/1"),
            ("V.T.C. 1/1", "V.T.C.", "1/1"),
            ("VTC 1/1/1 (lane 2)", "VTC", "1/1/1 (lane 2)"),
        ] {
            assert_eq!(part(written), Some((site, port)), "{written}");
        }
    }

    #[test]
    fn a_port_may_stand_first_and_a_way_is_no_name() {
        for (written, site, port) in [
            ("1/1/6 @ Brack Fen", "Brack Fen", "1/1/6"),
            ("1/1/6@Brack Fen", "Brack Fen", "1/1/6"),
            ("PON 3 at Brack Fen", "Brack Fen", "PON 3"),
            ("1/1/6 @ Hut 4", "Hut 4", "1/1/6"),
            ("Brack Fen @ 1/1/6", "Brack Fen", "1/1/6"),
            ("BRF 1/1/10 (via ODF 3/12)", "BRF", "1/1/10"),
            ("BRF 1/1/10 [through ODF 3/12", "BRF", "1/1/10"),
            ("BRF (via ODF 3/12) 1/1/10", "BRF", "1/1/10"),
        ] {
            assert_eq!(part(written), Some((site, port)), "{written}");
        }
    }

    #[test]
    fn what_names_no_site_or_no_port_is_not_parted() {
        for written in
            ["Maren Holt", "same as above", "eth-1/1/3", "PON 3", "1/1/6", "", "@", "(via 1/1)", "é"]
        {
            assert_eq!(part(written), None, "{written}");
        }
    }

    #[test]
    fn two_far_ends_are_told_from_one() {
        for two in [
            "BRF 1/1/11 / BRF 1/1/12",
            "BRF 1/1/11 & BRF 1/1/12",
            "BRF 1/1/11;ALD 1/1/12",
            "BRF 1/1/11 or 1/1/12",
            "BRF PON 3 / PON 4",
            "BRF 3, BRF 4",
        ] {
            assert!(are_two(two), "{two}");
        }
        for one in [
            "Alder Reach, eth-1/1/3",
            "Alder & Reach 1/1/3",
            "Hut 4, eth-1/1/3",
            "Hut 4, PON 3",
            "ALDER / 1/1/1",
            "BRF 1 / 1 / 3",
            "Stow and Alder 1/1/1",
            "BRF 1.23457E+15",
        ] {
            assert!(!are_two(one), "{one}");
        }
    }
}
