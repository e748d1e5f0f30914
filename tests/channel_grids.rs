//! Channel grids against published values. Wavelengths follow from the frequency and the speed of
//! light (exact by definition); five-digit values were computed apart with general-purpose
//! arithmetic.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;
use spanwright::tables::grid::{
    Channel, ChannelError, CoarseChannel, DenseChannel, Spacing, parse_wavelength,
};
use spanwright::units::{Nanometers, Terahertz};

fn channel(text: &str) -> (Terahertz, Nanometers) {
    match Channel::parse(text).unwrap_or_else(|error| panic!("{error}")) {
        Channel::Dense(channel) => (channel.frequency(), channel.wavelength()),
        Channel::Coarse(channel) => (channel.wavelength().frequency(), channel.wavelength()),
    }
}

/// Restated in a public table of channels (two decimals); the frequencies follow ITU-T G.694.1.
#[test]
fn published_dense_channels() {
    let published = [
        ("L1", 190.1, 1577.03),
        ("L5", 190.5, 1573.71),
        ("L14", 191.4, 1566.31),
        ("C15", 191.5, 1565.50),
        ("C17", 191.7, 1563.86),
        ("C25", 192.5, 1557.36),
        ("C37", 193.7, 1547.72),
        ("C42", 194.2, 1543.73),
        ("C50", 195.0, 1537.40),
        ("C60", 196.0, 1529.55),
    ];
    for (label, terahertz, printed) in published {
        let (frequency, wavelength) = channel(label);
        assert_abs_diff_eq!(frequency.value(), terahertz, epsilon = 1e-9);
        assert_abs_diff_eq!(wavelength.value(), printed, epsilon = 0.005_001);
    }
}

/// The same public table prints 1568.11 nm for 191.1 THz, which the speed of light does not bear
/// out: 1568.77 nm. Values are computed, so that the misprint cannot come in.
#[test]
fn a_published_misprint_is_not_repeated() {
    let (_, wavelength) = channel("L11");
    assert_abs_diff_eq!(wavelength.value(), 1568.77267, epsilon = 5e-6);
    let found = DenseChannel::nearest(Nanometers::new(1568.11), Spacing::Ghz100);
    assert_eq!(found.label().as_deref(), Some("L12"));
    assert!(!found.is_meant_by(Nanometers::new(1568.11)));
}

#[test]
fn exact_dense_channels() {
    let exact = [
        ("C31", 193.1, 1552.52438),
        ("C34", 193.4, 1550.11612),
        ("C61", 196.1, 1528.77337),
        ("S72", 197.2, 1520.24573),
        ("H31", 193.15, 1552.12249),
        ("H17", 191.75, 1563.45480),
        ("H61", 196.15, 1528.38368),
        ("193.1125 THz", 193.1125, 1552.42389),
    ];
    for (label, terahertz, nanometers) in exact {
        let (frequency, wavelength) = channel(label);
        assert_abs_diff_eq!(frequency.value(), terahertz, epsilon = 1e-9);
        assert_abs_diff_eq!(wavelength.value(), nanometers, epsilon = 5.1e-6);
    }
}

#[test]
fn a_wavelength_means_a_channel_only_near_its_middle() {
    let meant = |nm: f64, spacing| {
        let at = Nanometers::new(nm);
        DenseChannel::nearest(at, spacing).is_meant_by(at)
    };
    // C34 is 1550.116 nm; written with two decimals 1550.12.
    assert!(meant(1550.12, Spacing::Ghz100) && meant(1550.12, Spacing::Ghz12));
    assert!(!meant(1550.0, Spacing::Ghz100) && !meant(1550.0, Spacing::Ghz50));
    // Half way between two channels of the finest grid, 0.1 nm apart.
    assert!(!meant(1550.166, Spacing::Ghz12));
}

/// ITU-T G.694.2 (2003): 1271 to 1611 nm every 20 nm; labels of the first edition are 1 nm less.
#[test]
fn coarse_channels() {
    let all: Vec<f64> = CoarseChannel::all().map(|channel| channel.wavelength().value()).collect();
    assert_eq!((all.len(), all[0], all[4], all[17]), (18, 1271.0, 1351.0, 1611.0));
    for channel in CoarseChannel::all() {
        assert_eq!(Channel::parse(&channel.label()), Ok(Channel::Coarse(channel)));
        let older = format!("cwdm {}", channel.wavelength().value() - 1.0);
        assert_eq!(Channel::parse(&older), Ok(Channel::Coarse(channel)));
    }
    assert_eq!(channel("CWDM-1551").1.value(), 1551.0);
    assert_eq!(channel("CWDM 1550 nm").1.value(), 1551.0);
    let nearest = |nm: f64| {
        CoarseChannel::nearest(Nanometers::new(nm)).map(|channel| channel.wavelength().value())
    };
    assert_eq!(nearest(1550.12), Some(1551.0));
    assert_eq!((nearest(1261.0), nearest(1260.9), nearest(1621.1)), (Some(1271.0), None, None));
    let channel = CoarseChannel::nearest(Nanometers::new(1551.0)).expect("there");
    assert!(channel.passes(Nanometers::new(1544.5)) && channel.passes(Nanometers::new(1557.5)));
    assert!(!channel.passes(Nanometers::new(1557.6)));
}

#[test]
fn a_frequency_finds_the_widest_grid_it_lies_on() {
    let spacing = |text: &str| match Channel::parse(text) {
        Ok(Channel::Dense(channel)) => (channel.spacing, channel.n),
        other => panic!("{other:?}"),
    };
    assert_eq!(spacing("193.4 THz"), (Spacing::Ghz100, 3));
    assert_eq!(spacing("193.05thz"), (Spacing::Ghz50, -1));
    assert_eq!(spacing("193.125 THz"), (Spacing::Ghz25, 1));
    assert_eq!(spacing("193.0875 THz"), (Spacing::Ghz12, -1));
    let Err(ChannelError::OffGrid { nearest, .. }) = Channel::parse("193.41 THz") else { panic!() };
    assert_abs_diff_eq!(nearest.value(), 193.4125, epsilon = 1e-9);
}

#[test]
fn what_is_no_channel_is_refused_with_the_reason() {
    let says = |text: &str| Channel::parse(text).expect_err(text).to_string();
    // Makers number 50 GHz channels from either end.
    assert!(says("31").contains("ambiguous"));
    assert!(says("C14").contains("C15 to C61"));
    assert!(says("L31").contains("no channel `L31`"));
    assert!(says("H62").contains("H17 to H61"));
    assert!(says("CWDM1555").contains("every 20 nm"));
    for text in ["", "ch", "0 THz", "NaN THz", "1e9 THz", "C99999999999", "CWDM", "É31", "D31", "H"] {
        assert!(Channel::parse(text).is_err(), "{text}");
    }
}

#[test]
fn a_wavelength_needs_no_unit_but_may_have_one() {
    for text in ["1550.12", "1550.12 nm", " 1.55012 um"] {
        assert_abs_diff_eq!(parse_wavelength(text).expect(text).value(), 1550.12, epsilon = 1e-9);
    }
    for refused in ["", "1550 dBm", "-3", "1e9", "1550,12"] {
        assert!(parse_wavelength(refused).is_err(), "{refused}");
    }
}

proptest! {
    #[test]
    fn any_text_is_refused_or_read(text in "\\PC{0,20}") {
        let _ = Channel::parse(&text);
    }

    /// There and back, on every grid.
    #[test]
    fn a_channel_is_nearest_to_itself(n in -900i32..900, index in 0usize..4) {
        let channel = DenseChannel { n, spacing: Spacing::ALL[index] };
        prop_assert_eq!(DenseChannel::nearest(channel.wavelength(), channel.spacing), channel);
        if let Some(label) = channel.label() {
            let read = Channel::parse(&label);
            let Ok(Channel::Dense(read)) = read else { panic!("{label}: {read:?}") };
            prop_assert!((read.frequency() - channel.frequency()).value().abs() < 1e-9);
        }
    }

    /// No other channel is nearer.
    #[test]
    fn the_nearest_channel_is_within_half_a_step(nm in 1260.0f64..1675.0, index in 0usize..4) {
        let spacing = Spacing::ALL[index];
        let off = DenseChannel::nearest(Nanometers::new(nm), spacing).frequency() - Nanometers::new(nm).frequency();
        prop_assert!(off.value().abs() * 1000.0 <= spacing.width().value() / 2.0 + 1e-6);
    }
}
