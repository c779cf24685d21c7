//! Words of the command line.

use std::path::PathBuf;
use std::sync::LazyLock;

use calotte::quantity::Quantity;
use calotte_format::safety::Safety;
use calotte_format::words;
use clap::builder::RangedU64ValueParser;
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};

use crate::part::Part;

/// From a need to a proven prototype for instrument holders with a remote
/// centre of motion (RCM).
#[derive(Debug, Parser)]
#[command(
    name = "calotte",
    version,
    about = "From a need to a proven prototype for instrument holders with a remote centre\nof motion (RCM)",
    max_term_width = 80,
    after_help = "Example:\n  calotte new head-arm && calotte design head-arm/brief.toml\n\nExit status: 0 computed and met, 1 computed and not met, 2 could not compute."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

impl Arguments {
    /// The words as given; every help, of every command, ends with what comes first in safety.
    ///
    /// # Errors
    /// What clap refuses, and help and version, which it gives as errors too.
    pub fn given() -> Result<Self, clap::Error> {
        let matches = with_safety(Self::command()).try_get_matches()?;
        Self::from_arg_matches(&matches)
    }
}

/// A command and those below it with the words of safety behind their help.
fn with_safety(mut command: clap::Command) -> clap::Command {
    let own = command.get_after_help().map(ToString::to_string);
    let safety = words::wrapped(&Safety::general().short(), 80).join("\n");
    let help = own.map_or(safety.clone(), |own| format!("{own}\n\n{safety}"));
    command = command.after_help(help);
    command.mut_subcommands(with_safety)
}

/// One verb each.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a brief to start from, with comments.
    New(NewOptions),
    /// Search, choose and analyse: the main job.
    Design(DesignOptions),
    /// Everything about one design.
    Analyse(AnalyseOptions),
    /// Many designs against one brief: JSON lines in, verdicts and all quantities out.
    Judge(JudgeOptions),
    /// A figure and table over two variables, rigid and real joints side by side.
    Map(MapOptions),
    /// Designs side by side.
    Compare(CompareOptions),
    /// The parts of a built design, and meshes of them for a mock-up.
    Parts(PartsOptions),
    /// The prototype measured: what to measure, and what it says of the model.
    #[command(subcommand)]
    Measure(MeasureCommand),
    /// Open the page in the browser, on this machine alone.
    #[cfg(feature = "page")]
    Page(PageOptions),
    /// Re-run every shipped check: published, derived, from memory.
    Verify(VerifyOptions),
    /// Print JSON Schemas of the files.
    Schema(SchemaOptions),
}

/// What to do with measurements.
#[derive(Debug, Subcommand)]
pub enum MeasureCommand {
    /// Which configurations to measure and which weights to hang.
    Plan(PlanOptions),
    /// Fit the real linkage's parameters to measured points.
    Fit(FitOptions),
}

/// Options of `calotte measure plan`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  calotte measure plan head-arm/design.toml --out head-arm/bench\n  calotte measure plan head-arm/design.toml --brief brief.toml --seed 2 --out bench"
)]
pub struct PlanOptions {
    /// The design that was built.
    pub design: PathBuf,
    /// Configurations to measure, 8 to 500.
    #[arg(long, value_name = "N", default_value_t = 30)]
    pub count: usize,
    /// How many of them are measured again.
    #[arg(long, value_name = "N", default_value_t = 3)]
    pub repeated: usize,
    /// How often each of those is measured in all.
    #[arg(long, value_name = "N", default_value_t = 5)]
    pub times: usize,
    /// Noise expected of a component of a measured point, mm.
    #[arg(long, value_name = "MM", default_value_t = 0.1)]
    pub noise_mm: f64,
    /// Noise expected of the gauge at the tip, mm.
    #[arg(long, value_name = "MM", default_value_t = 0.005)]
    pub gauge_mm: f64,
    /// What the random order of the rows begins with; equal numbers give the same plan.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub seed: u32,
    /// Brief whose limits, region, keep-outs and loads the plan keeps to.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// Folder for points.csv and weights.csv to fill in and a sheet to print.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace a folder that holds other files or changed ones.
    #[arg(long)]
    pub force: bool,
    /// Print one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte measure fit`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  calotte measure fit head-arm/design.toml points.csv --out head-arm/fit"
)]
pub struct FitOptions {
    /// The design that was built.
    pub design: PathBuf,
    /// Points under joint readings, CSV.
    pub points: PathBuf,
    /// Displacements under hung weights, CSV.
    #[arg(long, value_name = "WEIGHTS")]
    pub weights: Option<PathBuf>,
    /// Parameters that stay at the design's values, separated by commas.
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub hold: Vec<String>,
    /// Add the sag by own weight that the elastic model of the design gives.
    #[arg(long)]
    pub sag: bool,
    /// Brief whose limits on LCI and transmission angle end the table of corrections.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// Folder for fit.json, the calibrated design and the table of corrections.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace a folder that holds other files or changed ones.
    #[arg(long)]
    pub force: bool,
    /// Print one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte new`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  calotte new head-arm")]
pub struct NewOptions {
    /// Folder for the brief; made if it does not exist.
    pub folder: PathBuf,
    /// Replace an existing brief.
    #[arg(long)]
    pub force: bool,
    /// Print one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte design`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  calotte design examples/head-dome/brief.toml --out head-arm\n  calotte design brief.toml --from prototype.toml --keep base,bars:1-2 --use fit.json --out next"
)]
pub struct DesignOptions {
    /// The brief.
    pub brief: PathBuf,
    /// Folder for the results; `results` beside the brief without it.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace a folder that holds other files or changed ones.
    #[arg(long)]
    pub force: bool,
    /// The design of a built prototype that the next one follows.
    #[arg(long, value_name = "DESIGN")]
    pub from: Option<PathBuf>,
    /// Its parts that stay: ground (mount and drives), base (ground and base bars), bars:N or
    /// bars:N-M, counted from 1 at the base bars outward.
    #[arg(long, value_name = "PARTS", value_delimiter = ',', requires = "from")]
    pub keep: Vec<String>,
    /// What measuring it identified: the fit.json of `calotte measure fit`.
    #[arg(long = "use", value_name = "FIT", requires = "from")]
    pub use_fit: Option<PathBuf>,
    /// Where the random numbers of a search begin, 1 without it.
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// How many times the usual number of candidates is looked at, 1 to 1000.
    #[arg(long, value_name = "N", value_parser = effort())]
    pub effort: Option<usize>,
    /// Search one part of several, such as 2/4, on this machine, and leave it in a folder
    /// (results-part-2-of-4 beside the brief) to be joined.
    #[arg(long, value_name = "N/M", conflicts_with_all = ["join", "json"])]
    pub part: Option<Part>,
    /// Join the folders of all parts of a search instead of searching.
    #[arg(long, value_name = "DIR", num_args = 1..)]
    pub join: Vec<PathBuf>,
    /// Threads, 1 to 1024; all cores without it. The numbers do not depend on it.
    #[arg(long, value_name = "N", value_parser = threads())]
    pub threads: Option<usize>,
    /// Print the result as one JSON object instead of the summary.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte analyse`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  calotte analyse head-arm/design.toml --brief brief.toml\n  calotte analyse head-arm/design.toml --joints 50,-50 --json\n  calotte analyse head-arm/design.toml --direction 60,0"
)]
pub struct AnalyseOptions {
    /// The design.
    pub design: PathBuf,
    /// Region, limits and loads to judge it by.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// One configuration by its active joint angles, degrees.
    #[arg(
        long,
        value_name = "A,B",
        allow_hyphen_values = true,
        conflicts_with = "direction"
    )]
    pub joints: Option<String>,
    /// One configuration by its tool direction in the base frame, degrees.
    #[arg(long, value_name = "POLAR,AZIMUTH", allow_hyphen_values = true)]
    pub direction: Option<String>,
    /// Arrangements of the layers from the fewest to full nesting, with what each costs.
    #[arg(long)]
    pub layers: bool,
    /// Redundant constraints, and the joints to release for them, with what each costs.
    #[arg(long)]
    pub releases: bool,
    /// Print one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Designs whose ranges are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RangesOf {
    /// All designs.
    All,
    /// Designs that meet every limit at nominal values.
    Met,
}

/// Options of `calotte judge`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  calotte judge examples/head-dome/brief.toml < examples/head-dome/designs.jsonl\n\nEach line of standard input is a design: the keys of a design file, in the same\nunits, as one JSON object. Each line of standard output is its verdict with all\nquantities, as `calotte analyse DESIGN --brief BRIEF --json` gives them, and the\nnumber of its line; or an `error` with message and hint. Blank lines get no answer.\nAnswers come in the order of the lines, each as soon as it is known.\n\nExit status: 0 all are met, 1 some are not, 2 some could not be judged, or standard\noutput was closed."
)]
pub struct JudgeOptions {
    /// Region, limits and loads to judge the designs by.
    pub brief: PathBuf,
    /// Add the long lists of `analyse --json`: `rings` and `configurations`.
    #[arg(long)]
    pub lists: bool,
    /// Which designs get the ranges of their values over the stated uncertainty: `all`, or those
    /// that are `met` at nominal values, whose verdict depends on them. The rest is then
    /// answered many times faster, its ranges null and `options.bands` false.
    #[arg(long, value_enum, default_value_t = RangesOf::All)]
    pub ranges: RangesOf,
    /// Threads, 1 to 1024; all cores without it. The numbers do not depend on it.
    #[arg(long, value_name = "N", value_parser = threads())]
    pub threads: Option<usize>,
}

/// What `--show` takes.
static SHOWN: LazyLock<String> = LazyLock::new(|| {
    let words = Quantity::MAPS.map(Quantity::word);
    format!("Quantities, separated by commas: {}", words.join(", "))
});

/// Options of `calotte map`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  calotte map examples/trend-map/design.toml --x stages=1..8 --y arc_deg=8..40 --show stiffness,gci --line reach=94\n  calotte map examples/trend-map/design.toml --x stages=1..6 --y polar=30,60,80 --set total_arc_deg=94\n  calotte map examples/trend-map/design.toml --x tilt_nm_per_rad=10,100,1000,10000 --y stages=1..6 --set total_arc_deg=94 --at polar=60"
)]
pub struct MapOptions {
    /// The design whose other numbers stay.
    pub design: PathBuf,
    /// Variable along the figure: NAME=8..40, NAME=8..40:0.5 or NAME=8,12,16. Names: stages,
    /// arc_deg, total_arc_deg, bend_deg, first_arc_deg, second_arc_deg, joint_radius_mm,
    /// tip_radius_mm, tangential_mm, radial_mm, diameter_mm, boss_diameter_mm, axial_n_per_m,
    /// radial_n_per_m, tilt_nm_per_rad, polar; of a built design bearing_bore_mm (in the series
    /// of its bearing), bearing_spacing_mm, layer_gap_mm, layers.
    #[arg(long, value_name = "NAME=VALUES", allow_hyphen_values = true)]
    pub x: String,
    /// Variable up the figure.
    #[arg(long, value_name = "NAME=VALUES", allow_hyphen_values = true)]
    pub y: String,
    // The list is the one of the table of quantities.
    #[arg(long, value_name = "LIST", default_value = "stiffness", help = SHOWN.as_str())]
    pub show: String,
    /// Lines of equal reach, such as reach=94 or reach=80,94; the designs on them are solved for.
    #[arg(long, value_name = "reach=DEG")]
    pub line: Option<String>,
    /// Another number changed for the whole map; may be given several times.
    #[arg(long, value_name = "NAME=VALUE", allow_hyphen_values = true)]
    pub set: Vec<String>,
    /// Take elastic quantities at one polar angle instead of the worst over the region.
    #[arg(long, value_name = "polar=DEG")]
    pub at: Option<String>,
    /// Region and limits.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// Stiffness as k R³/(E I), I for bending in the arc's plane.
    #[arg(long)]
    pub dimensionless: bool,
    /// Folder for the files; `map` beside the design without it.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace a folder that holds other files or changed ones.
    #[arg(long)]
    pub force: bool,
    /// Width of the figures, mm (85 is one journal column).
    #[arg(long, default_value_t = 174.0)]
    pub width_mm: f64,
    /// Font size of the figures, pt.
    #[arg(long, default_value_t = 8.0)]
    pub font_pt: f64,
    /// Print one JSON object instead of the table.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte compare`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  calotte compare a/design.toml b/design.toml --brief brief.toml\n  calotte compare prototype.toml next/design.toml --measured fit.json --brief brief.toml"
)]
pub struct CompareOptions {
    /// Two designs or more; one is enough with --measured.
    #[arg(required = true)]
    pub designs: Vec<PathBuf>,
    /// What measuring the first design identified: the fit.json of `calotte measure fit`. The
    /// prototype as it was found stands behind it, the other designs are the next ones.
    #[arg(long, value_name = "FIT")]
    pub measured: Option<PathBuf>,
    /// Region, limits and loads to judge them by.
    #[arg(long, value_name = "BRIEF")]
    pub brief: Option<PathBuf>,
    /// Print one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte parts`.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  calotte parts examples/bench-arm/design.toml --mesh --out bench-arm-parts\n\nMeshes are closed STL files in millimetres for a printed mock-up, one for each kind\nof part, with parts.json beside them."
)]
pub struct PartsOptions {
    /// The design; it needs [layers].
    pub design: PathBuf,
    /// Write meshes.
    #[arg(long, requires = "out")]
    pub mesh: bool,
    /// Folder for the files.
    #[arg(long, value_name = "DIR", requires = "mesh")]
    pub out: Option<PathBuf>,
    /// Turn every part as it lies on a printer's bed; else it stays about the centre.
    #[arg(long)]
    pub lie_flat: bool,
    /// Maximum distance of a facet from its curved face, mm; 0.02 without it.
    #[arg(long, value_name = "MM", value_parser = chord)]
    pub chord_mm: Option<f64>,
    /// Replace a folder that holds other files or changed ones.
    #[arg(long)]
    pub force: bool,
    /// Print the list as JSON.
    #[arg(long)]
    pub json: bool,
}

/// A chord distance that a mesh can be made with.
fn chord(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (0.001..=5.0).contains(&value) => Ok(value),
        _ => Err("a number from 0.001 to 5 mm is expected, such as 0.05".to_string()),
    }
}

/// Options of `calotte page`.
#[cfg(feature = "page")]
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  calotte page examples/head-dome\n\nThe address holds a token of this run: whoever has it can read and write the TOML\nfiles of the folder. Ctrl-C ends the page."
)]
pub struct PageOptions {
    /// Folder whose briefs and designs the page reads and writes.
    #[arg(value_name = "DIR", default_value = ".")]
    pub folder: PathBuf,
    /// Port on 127.0.0.1; any free one without it.
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub port: u16,
    /// Print the address without opening the browser.
    #[arg(long)]
    pub no_open: bool,
    /// Print the address as one JSON object.
    #[arg(long)]
    pub json: bool,
}

/// Options of `calotte verify`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  calotte verify --json")]
pub struct VerifyOptions {
    /// Print one JSON object.
    #[arg(long, conflicts_with = "markdown")]
    pub json: bool,
    /// Print the table of docs/validation.md.
    #[arg(long)]
    pub markdown: bool,
}

/// Options of `calotte schema`.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  calotte schema brief > brief.schema.json")]
pub struct SchemaOptions {
    /// Which file, or which result: those of analyse --json, results.json of design, a line of
    /// judge, map --json, compare --json, measure fit --json, measure plan --json, parts --json
    /// and verify --json.
    #[arg(value_parser = ["brief", "design", "analysis", "results", "judged", "map", "comparison", "fit", "plan", "parts", "checks"])]
    pub file: Option<String>,
    /// Print the reference of all keys as Markdown instead.
    #[arg(long)]
    pub markdown: bool,
}

/// Times the usual effort.
fn effort() -> RangedU64ValueParser<usize> {
    RangedU64ValueParser::new().range(1..=1000)
}

/// More threads than any machine has cores would take the memory first.
fn threads() -> RangedU64ValueParser<usize> {
    RangedU64ValueParser::new().range(1..=1024)
}
