//! Channels of the grids of ITU-T G.694.1 and G.694.2.

use std::io::{self, Write};

use serde::Serialize;

use super::grid::{Lean, grid};
use super::paint::Paint;
use crate::tables::grid::{Channel, CoarseChannel, DenseChannel, Spacing};
use crate::units::{Gigahertz, Nanometers};

/// One channel, with how far the asked wavelength lies from its middle.
#[derive(Debug, Clone, Serialize)]
pub struct ChannelRow {
    grid: String,
    channel: Option<String>,
    n: Option<i32>,
    frequency_thz: f64,
    wavelength_nm: f64,
    passband_nm: Option<[f64; 2]>,
    off_nm: Option<f64>,
    off_ghz: Option<f64>,
    meant: Option<bool>,
}

impl ChannelRow {
    fn dense(channel: DenseChannel, asked: Option<Nanometers>) -> Self {
        Self {
            grid: format!("dense, {} GHz", channel.spacing.width().value()),
            channel: channel.label(),
            n: Some(channel.n),
            passband_nm: None,
            meant: asked.map(|at| channel.is_meant_by(at)),
            ..Self::at(channel.wavelength(), asked)
        }
    }

    fn coarse(channel: CoarseChannel, asked: Option<Nanometers>) -> Self {
        let (from, to) = channel.passband();
        Self {
            grid: "coarse, 20 nm".to_string(),
            channel: Some(channel.label()),
            passband_nm: Some([from.value(), to.value()]),
            meant: asked.map(|at| channel.passes(at)),
            ..Self::at(channel.wavelength(), asked)
        }
    }

    fn at(middle: Nanometers, asked: Option<Nanometers>) -> Self {
        let clean = |value: f64| (value * 1e5).round() / 1e5 + 0.0;
        let off = |at: Nanometers| Gigahertz::from(at.frequency() - middle.frequency());
        Self {
            grid: String::new(),
            channel: None,
            n: None,
            frequency_thz: clean(middle.frequency().value()),
            wavelength_nm: clean(middle.value()),
            passband_nm: None,
            off_nm: asked.map(|at| clean((at - middle).value())),
            off_ghz: asked.map(|at| clean(off(at).value())),
            meant: None,
        }
    }

    /// The row of a channel that was asked for.
    pub fn of(channel: Channel) -> Self {
        match channel {
            Channel::Dense(channel) => Self::dense(channel, None),
            Channel::Coarse(channel) => Self::coarse(channel, None),
        }
    }

    /// The nearest channel of every grid to a wavelength; no coarse one beyond their ends.
    pub fn nearest(at: Nanometers) -> Vec<Self> {
        let dense =
            Spacing::ALL.map(|spacing| Self::dense(DenseChannel::nearest(at, spacing), Some(at)));
        let coarse = CoarseChannel::nearest(at).map(|channel| Self::coarse(channel, Some(at)));
        dense.into_iter().chain(coarse).collect()
    }
}

/// The rows for people.
///
/// # Errors
/// Whatever the writer says.
pub fn write_table(rows: &[ChannelRow], paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let asked = rows.iter().any(|row| row.off_nm.is_some());
    let mut heads = vec![
        ("grid", Lean::Left),
        ("channel", Lean::Left),
        ("n", Lean::Right),
        ("frequency, THz", Lean::Right),
        ("wavelength, nm", Lean::Right),
        ("passband, nm", Lean::Right),
    ];
    if asked {
        heads.extend([("off, nm", Lean::Right), ("off, GHz", Lean::Right), ("", Lean::Left)]);
    }
    let drawn: Vec<Vec<String>> = rows.iter().map(|row| cells(row, asked)).collect();
    write!(out, "{}", grid(&heads, &drawn, paint))?;
    writeln!(out, "wavelengths are in vacuum; channel numbers are common practice, not ITU-T G.694.1")
}

fn cells(row: &ChannelRow, asked: bool) -> Vec<String> {
    let number = |value: Option<f64>, decimals: usize| {
        value.map_or_else(String::new, |value| format!("{value:+.decimals$}"))
    };
    let mut cells = vec![
        row.grid.clone(),
        row.channel.clone().unwrap_or_default(),
        row.n.map_or_else(String::new, |n| n.to_string()),
        format!("{:.4}", row.frequency_thz),
        format!("{:.5}", row.wavelength_nm),
        row.passband_nm.map_or_else(String::new, |[from, to]| format!("{from:.1} to {to:.1}")),
    ];
    if asked {
        let meant = match (row.meant, row.passband_nm.is_some()) {
            (Some(true), true) => "in its passband",
            (Some(false), true) => "outside its passband",
            (Some(true), false) => "on it",
            _ => "between channels",
        };
        cells.extend([number(row.off_nm, 3), number(row.off_ghz, 2), meant.to_string()]);
    }
    cells
}

/// The rows for machines.
///
/// # Errors
/// Whatever the writer says.
pub fn write_json(rows: &[ChannelRow], out: &mut impl Write) -> io::Result<()> {
    let document = serde_json::json!({ "shape": "spanwright.channels", "version": 1, "channels": rows });
    serde_json::to_writer_pretty(&mut *out, &document).map_err(io::Error::from)?;
    writeln!(out)
}

/// The rows for spreadsheets.
///
/// # Errors
/// Whatever the writer says.
pub fn write_csv(rows: &[ChannelRow], out: &mut impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record([
        "grid",
        "channel",
        "n",
        "frequency_thz",
        "wavelength_nm",
        "passband_from_nm",
        "passband_to_nm",
        "off_nm",
        "off_ghz",
        "meant",
    ])?;
    for row in rows {
        let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
        csv.write_record([
            row.grid.clone(),
            row.channel.clone().unwrap_or_default(),
            row.n.map_or_else(String::new, |n| n.to_string()),
            row.frequency_thz.to_string(),
            row.wavelength_nm.to_string(),
            number(row.passband_nm.map(|band| band[0])),
            number(row.passband_nm.map(|band| band[1])),
            number(row.off_nm),
            number(row.off_ghz),
            row.meant.map_or_else(String::new, |meant| meant.to_string()),
        ])?;
    }
    csv.flush()
}
