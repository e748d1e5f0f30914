//! What `spanwright fit` takes.

use std::path::PathBuf;

use clap::Args;

use super::args::{JudgeArgs, OutputArgs, RouteArgs};

/// `spanwright fit`
#[derive(Debug, Args)]
pub struct FitArgs {
    /// A plan (YAML): judge its ports; without it, everything stands on the command line
    pub plan: Option<PathBuf>,
    /// The port to judge; without it, every port of the plan
    #[arg(long, value_name = "ID", requires = "plan")]
    pub port: Option<String>,
    /// Dump of the memory of the module in hand, in place of its name
    #[arg(long, value_name = "DUMP", conflicts_with_all = ["optic", "class"])]
    pub memory: Option<PathBuf>,
    /// What is at hand: a CSV file with the column `item` (optics, and pads such as "5 dB")
    #[arg(long, value_name = "FILE")]
    pub stock: Option<PathBuf>,
    /// How many other optics to propose (otherwise 5, and none after a GO)
    #[arg(long, value_name = "COUNT")]
    pub alternatives: Option<usize>,
    /// Show all ports of the plan, not only the first
    #[arg(long)]
    pub all: bool,
    /// The port.
    #[command(flatten)]
    pub near: NearArgs,
    /// The far port.
    #[command(flatten)]
    pub far: FarArgs,
    /// The cords.
    #[command(flatten)]
    pub cords: CordArgs,
    /// What stands on the path.
    #[command(flatten)]
    pub route: RouteArgs,
    /// What the judgement is given beside the path.
    #[command(flatten)]
    pub judge: JudgeArgs,
    /// Where the result goes.
    #[command(flatten)]
    pub output: OutputArgs,
}

/// What is known of the port and the module in it.
#[derive(Debug, Args)]
#[command(next_help_heading = "The port and its module")]
pub struct NearArgs {
    /// What the cage takes, e.g. SFP+
    #[arg(long, value_name = "FORM")]
    pub cage: Option<String>,
    /// Type of the card, a row of the table `cards`
    #[arg(long, value_name = "TYPE")]
    pub card: Option<String>,
    /// Form factor of the module, e.g. SFP+
    #[arg(long, value_name = "FORM")]
    pub form: Option<String>,
    /// Channel that the module is set to, e.g. C31
    #[arg(long, value_name = "CHANNEL")]
    pub channel: Option<String>,
    /// Temperature range of the module: C, E or I
    #[arg(long, value_name = "RANGE")]
    pub temperature: Option<String>,
    /// Kind of place: central-office, premises, hut, cabinet, closure, pole or outdoors
    #[arg(long, value_name = "KIND")]
    pub place: Option<String>,
    /// The most electrical power that the module takes, e.g. "1.5 W"
    #[arg(long, value_name = "W")]
    pub power: Option<String>,
    /// Data rate that the port is set to, e.g. 10G
    #[arg(long, value_name = "RATE")]
    pub rate: Option<String>,
    /// Error correction that the port is set to: none, fc, rs528, rs544, cfec, ofec
    #[arg(long, value_name = "FEC")]
    pub fec: Option<String>,
    /// Optical face of the module, e.g. LC/UPC or MPO-12/APC/pinned
    #[arg(long, value_name = "FACE")]
    pub face: Option<String>,
    /// Lane of a broken-out parallel optic that this port is
    #[arg(long, value_name = "LANE")]
    pub lane: Option<String>,
}

/// The same of the far port.
#[derive(Debug, Args)]
#[command(next_help_heading = "The far port and its module")]
pub struct FarArgs {
    /// What the far cage takes
    #[arg(long, value_name = "FORM")]
    pub far_cage: Option<String>,
    /// Type of the far card
    #[arg(long, value_name = "TYPE")]
    pub far_card: Option<String>,
    /// Form factor of the far module
    #[arg(long, value_name = "FORM")]
    pub far_form: Option<String>,
    /// Channel that the far module is set to
    #[arg(long, value_name = "CHANNEL")]
    pub far_channel: Option<String>,
    /// Temperature range of the far module
    #[arg(long, value_name = "RANGE")]
    pub far_temperature: Option<String>,
    /// Kind of place of the far port
    #[arg(long, value_name = "KIND")]
    pub far_place: Option<String>,
    /// The most electrical power that the far module takes
    #[arg(long, value_name = "W")]
    pub far_power: Option<String>,
    /// Data rate that the far port is set to
    #[arg(long, value_name = "RATE")]
    pub far_rate: Option<String>,
    /// Error correction that the far port is set to
    #[arg(long, value_name = "FEC")]
    pub far_fec: Option<String>,
    /// Optical face of the far module
    #[arg(long, value_name = "FACE")]
    pub far_face: Option<String>,
    /// Lane of a broken-out parallel optic that the far port is
    #[arg(long, value_name = "LANE")]
    pub far_lane: Option<String>,
}

/// What is known of the cords.
#[derive(Debug, Args)]
#[command(next_help_heading = "The cords")]
pub struct CordArgs {
    /// Plugs of the cord in the port: one for both ends, or two, e.g. LC/UPC,SC/APC
    #[arg(long, value_name = "PLUG", value_delimiter = ',', num_args = 1..=2)]
    pub plugs: Vec<String>,
    /// Types of the array cords in their order (TIA-568.3), e.g. B,A,B
    #[arg(long, value_name = "TYPE", value_delimiter = ',')]
    pub polarity: Vec<String>,
    /// Fibers that the way has side by side
    #[arg(long, value_name = "COUNT")]
    pub fibers: Option<u16>,
    /// Whether mode-conditioning cords are used, one at each end
    #[arg(long, value_name = "YES/NO")]
    pub mode_conditioning: Option<YesNo>,
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum YesNo {
    /// It is so.
    Yes,
    /// It is not so.
    No,
}
