//! Notes that say that something is temporary or doubtful.

/// Words that say so by themselves (common practice).
const WORDS: [&[u8]; 7] = [b"temp", b"temporary", b"temporarily", b"tmp", b"fix", b"todo", b"tbc"];

/// Whether a note says that something is temporary or doubtful.
///
/// To check is a doubt (`to check`, `check!`, `check?`); `check polarity` tells people how to work.
pub fn is_temporary(note: &[u8]) -> bool {
    if note.is_empty() {
        return false;
    }
    // A question mark ends a word; within one it is part of an address.
    let asks = |at: usize| note.get(at + 1).is_none_or(|next| !next.is_ascii_alphanumeric());
    if memchr::memchr_iter(b'?', note).any(asks) {
        return true;
    }
    let says = |word: &[u8], known: &[u8]| word.eq_ignore_ascii_case(known);
    let mut words = note.split(|b| !b.is_ascii_alphanumeric());
    words.any(|word| {
        WORDS.iter().any(|known| says(word, known)) || says(word, b"check") && is_to_be_checked(note)
    })
}

/// Whether a note with the word `check` says that something is still to be checked.
fn is_to_be_checked(note: &[u8]) -> bool {
    let text = String::from_utf8_lossy(note).to_lowercase();
    let text = text.trim();
    text == "check"
        || text.starts_with("to check")
        || [" to check", "check!"].iter().any(|w| text.contains(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_that_say_temporary() {
        for note in [
            "temp move, fix after cutover",
            "port ok?",
            "(jumper?) see plan",
            "to check",
            "Check!",
            "check",
            "strand 4: check! swapped",
            "TBC with the yard",
        ] {
            assert!(is_temporary(note.as_bytes()), "{note}");
        }
        for note in [
            "",
            "see http://records.example/port?id=7",
            "temperature sensor, prefix 12",
            "check polarity",
            "checked 2024",
            "please check the label first",
        ] {
            assert!(!is_temporary(note.as_bytes()), "{note}");
        }
    }
}
