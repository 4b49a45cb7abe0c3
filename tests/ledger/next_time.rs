//! How far the ambient may rise, from a ledger made by hand: known, under a picture too dark to tell, and too strong.

use stoptally::light::{AmbientEntry, Setting, Told};
use stoptally::report::Report;

use super::made::{found, on, sequence_of};

