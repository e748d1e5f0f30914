//! The color code of fibers, cell by cell.

use super::Written;

/// TIA-598 color order of twelve fibers, restated in encyclopedia texts; abbreviations from memory.
const TIA_598: [(&str, &str); 12] = [
    ("blue", "BL"),
    ("orange", "OR"),
    ("green", "GR"),
    ("brown", "BR"),
    ("slate", "SL"),
    ("white", "WH"),
    ("red", "RD"),
    ("black", "BK"),
    ("yellow", "YL"),
    ("violet", "VI"),
    ("rose", "RS"),
    ("aqua", "AQ"),
];

#[test]
fn fibers_are_colored_in_the_order_of_tia_598() {
    let table = Written::table("strand-colors");
    let rows: Vec<_> = table.rows.iter().filter(|row| row["order"] == "TIA-598").collect();
    assert_eq!(rows.len(), TIA_598.len());
    for (index, (color, abbreviation)) in TIA_598.into_iter().enumerate() {
        let position = (index + 1).to_string();
        let row = rows.iter().find(|row| row["position"] == position);
        let row = row.unwrap_or_else(|| panic!("no fiber {position}"));
        assert_eq!(row["color"], color, "fiber {position}");
        assert_eq!(row["abbreviation"], abbreviation, "fiber {position}");
    }
}

/// The color drawn must be the color named: hue in degrees, lightness in percent (common practice).
#[test]
fn swatches_look_like_their_names() {
    let expected = [
        ("blue", 190.0..250.0),
        ("orange", 15.0..45.0),
        ("green", 90.0..170.0),
        ("red", 345.0..375.0),
        ("yellow", 40.0..65.0),
        ("violet", 250.0..310.0),
        ("aqua", 165.0..200.0),
    ];
    let table = Written::table("strand-colors");
    for (color, hues) in expected {
        for row in table.rows.iter().filter(|row| row["color"] == color) {
            let hue = hue(&row["swatch"]);
            let hue = if hue < 15.0 && hues.end > 360.0 { hue + 360.0 } else { hue };
            assert!(hues.contains(&hue), "{color}: `{}` has the hue {hue:.0}", row["swatch"]);
        }
    }
}

fn hue(swatch: &str) -> f64 {
    let channel = |at: usize| {
        let digits = swatch.get(at..at + 2).unwrap_or_else(|| panic!("`{swatch}` is no color"));
        f64::from(u8::from_str_radix(digits, 16).expect("hexadecimal"))
    };
    let [r, g, b] = [channel(1), channel(3), channel(5)];
    let most = r.max(g).max(b);
    let range = most - r.min(g).min(b);
    let sixth = if most == r {
        ((g - b) / range).rem_euclid(6.0)
    } else if most == g {
        (b - r) / range + 2.0
    } else {
        (r - g) / range + 4.0
    };
    sixth * 60.0
}
