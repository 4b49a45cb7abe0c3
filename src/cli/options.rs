//! What may be said on the command line.

use std::io;
use std::path::PathBuf;
use std::str::FromStr;

use anyhow::{Result, bail};
use clap::{Args, Command, Parser, Subcommand};
use clap_complete::Shell;
use stoptally::keepers::given::{Asked, KEEPER_RATING, What};
use stoptally::next_time::{GuideNumber, Heads, LowestPower};
use stoptally::notes::SubjectBox;
use stoptally::pipeline::{DEFAULT_SYNC_TIME_S, PRINT_SIDE};
use stoptally::ratings::write::Manner;
use stoptally::shots::clock::{Clocks, Correction};
use stoptally::shots::clock_pairs::SameMoment;

const EXAMPLES: &str = "\
Examples:
  stoptally sample-images                       the report goes to reports/sample-images
  stoptally ~/shoots/shed --out ~/reports/shed
  stoptally shed --notes lights.csv             the photographer's light notes
  stoptally shed --subject TS_0001=30,10,40,80  where the sitter is: left, top, width, height in percent
  stoptally shed --keepers finals               your choice: a list of names or a folder of exported pictures
  stoptally shed --keepers rating               your choice by the stars in files and XMP sidecars
  stoptally shed --keepers picks.txt --write-ratings --dry-run
  stoptally shed --clock TS-0417=-192s          one body's clock ran 192 seconds fast
  stoptally shed --same-moment A_0001=B_0417    two frames of two bodies, taken at the same moment
  stoptally shed --sync 1/200                   this camera's sync speed
  stoptally shed --publish --title Chalk        a recap and a page to publish: reports/shed-published
  stoptally shed --guide-number key=36          for the next time: this light's own number, in metres
  stoptally shed --json --quiet                 one line for programs
  stoptally compare reports/shed reports/shed-2 two shoots side by side

Exit status: 0 clean, 1 finished with something that needs a look, 2 could not run.
Originals are opened read-only; nothing is written beside them but the sidecars of --write-ratings.";

/// Reads the folder of a shoot that was lit in stages and accounts, in stops, for every change of light.
#[derive(Debug, Parser)]
#[command(name = "stoptally", version, after_help = EXAMPLES)]
#[command(args_conflicts_with_subcommands = true, disable_help_subcommand = true)]
pub struct Options {
    /// Something else than a report; a folder of that name is given as ./compare
    #[command(subcommand)]
    pub other: Option<Other>,

    /// The folder of the shoot, with all its sub-folders
    pub folder: Option<PathBuf>,

    /// Where the report goes [default: reports/<name of the folder>]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,

    /// Allow the report's folder to lie inside the shoot
    #[arg(long)]
    pub inside_shoot: bool,

    /// The light notes [default: light-notes.csv in the folder of the shoot, where there is one]
    #[arg(long, value_name = "FILE")]
    pub notes: Option<PathBuf>,

    /// Where the sitter is in one frame, in percent of the upright picture; may be given for several frames
    #[arg(long, value_name = "FRAME=X,Y,W,H", allow_hyphen_values = true)]
    pub subject: Vec<SubjectBox>,

    /// Your choice: a list of names, a folder of exported pictures, or the word rating for XMP ratings
    #[arg(long, value_name = "WHAT")]
    pub keepers: Option<What>,

    /// The rating, 1 to 5, from which a shot is a keeper, and which --write-ratings writes
    #[arg(long, value_name = "N", default_value_t = KEEPER_RATING, value_parser = clap::value_parser!(u8).range(1..=5), requires = "keepers")]
    pub keeper_rating: u8,

    /// Write the keepers' rating into XMP sidecars beside the frames; ratings you gave stay
    #[arg(long, requires = "keepers")]
    pub write_ratings: bool,

    /// Let --write-ratings change ratings that you gave
    #[arg(long, requires = "write_ratings")]
    pub replace: bool,

    /// Print what --write-ratings would change, and write nothing, not even the report
    #[arg(long, requires = "write_ratings")]
    pub dry_run: bool,

    /// Correct one body's clock; may be given once for each body
    #[arg(long, value_name = "SERIAL=SECONDS", allow_hyphen_values = true)]
    pub clock: Vec<Correction>,

    /// Two frames of two bodies taken at the same moment; given twice for the same bodies, their drift is known too
    #[arg(long, value_name = "A=B")]
    pub same_moment: Vec<SameMoment>,

    /// Sync speed: above it nothing is claimed about flash
    #[arg(long, value_name = "1/N", default_value_t = Sync(DEFAULT_SYNC_TIME_S))]
    pub sync: Sync,

    /// Make a report to publish: no file or folder names, no serial numbers, no tables; shots are called by number
    #[arg(long)]
    pub publish: bool,

    /// What the published report is called; the folder's name is not told
    #[arg(long, value_name = "TEXT", requires = "publish")]
    pub title: Option<String>,

    /// Long side of the recap's pictures, in pixels
    #[arg(long, value_name = "PIXELS", default_value_t = PRINT_SIDE, value_parser = clap::value_parser!(u16).range(320..=3000))]
    pub width: u16,

    /// A light's guide number in metres, at ISO 100 and full power, as it is used; may be given once for each light
    #[arg(long, value_name = "LIGHT=METRES")]
    pub guide_number: Vec<GuideNumber>,

    /// The lowest step of a light's power; may be given once for each light
    #[arg(long, value_name = "LIGHT=1/N")]
    pub lowest_power: Vec<LowestPower>,

    /// Threads to use [default: one for each core]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,

    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,

    /// Print one JSON object for programs
    #[arg(long)]
    pub json: bool,

    /// Print the completions of a shell and do nothing else
    #[arg(long, value_name = "SHELL", exclusive = true)]
    completions: Option<Shell>,

    /// Print the man page and do nothing else
    #[arg(long, exclusive = true)]
    man: bool,
}

/// What may be done beside making a report.
#[derive(Debug, Subcommand)]
pub enum Other {
    /// Puts two shoots side by side: what differs, lighting by lighting, in stops and in keepers
    Compare(Compare),
}

/// Two reports to compare.
#[derive(Debug, Args)]
pub struct Compare {
    /// The first: a report's folder, or its shoot.json
    pub a: PathBuf,

    /// The second; every difference is B against A
    pub b: PathBuf,

    /// Where compare.html and compare.csv go [default: reports/compare-<A>-<B>]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,

    /// Print nothing but errors
    #[arg(long, short)]
    pub quiet: bool,
}

/// Something to print instead of running the main job.
pub enum Printed {
    /// Completions for this shell.
    Completions(Shell),
    /// The man page.
    Man,
}

impl Options {
    /// What was asked to be printed instead of a run.
    pub fn printed_only(&self) -> Option<Printed> {
        self.completions.map(Printed::Completions).or(self.man.then_some(Printed::Man))
    }

    /// How ratings are to be written, where that is asked.
    pub fn manner(&self) -> Result<Option<Manner>> {
        if self.write_ratings && self.keepers == Some(What::Rating) {
            bail!(
                "--write-ratings writes a choice as ratings, and --keepers rating is already a choice by ratings; \
                 give a list of names or a folder of exported pictures"
            );
        }
        let manner = Manner { rating: self.keeper_rating, replace: self.replace, dry_run: self.dry_run };
        Ok(self.write_ratings.then_some(manner))
    }

    /// What is said of the clocks.
    pub fn clocks(&self) -> Clocks {
        self.clock.iter().cloned().collect::<Clocks>().with_moments(self.same_moment.clone())
    }

    /// What is said of the lights.
    pub fn heads(&self) -> Heads {
        Heads { guide_numbers: self.guide_number.clone(), lowest: self.lowest_power.clone() }
    }

    /// The choice as asked for.
    pub fn keepers(&self) -> Option<Asked> {
        self.keepers.clone().map(|what| Asked { what, least: self.keeper_rating })
    }
}

impl Printed {
    /// Prints it on stdout.
    pub fn print(self, command: &mut Command) -> Result<()> {
        match self {
            Self::Completions(shell) => clap_complete::generate(shell, command, "stoptally", &mut io::stdout()),
            Self::Man => clap_mangen::Man::new(command.clone()).render(&mut io::stdout())?,
        }
        Ok(())
    }
}

/// A sync speed in seconds, typed as 1/200 or 200.
#[derive(Clone, Copy, Debug)]
pub struct Sync(pub f64);

impl FromStr for Sync {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let inverse: f64 = text.trim().trim_start_matches("1/").parse().map_err(|_| "write it as 1/200".to_owned())?;
        if (1.0..=100_000.0).contains(&inverse) {
            Ok(Self(1.0 / inverse))
        } else {
            Err("a sync speed lies between 1/1 and 1/100000".to_owned())
        }
    }
}

impl std::fmt::Display for Sync {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "1/{:.0}", 1.0 / self.0)
    }
}
