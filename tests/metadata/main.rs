//! What a file says about itself: read from blocks and containers that hold one peculiarity each.

#[path = "../support/tiff.rs"]
mod support;

mod containers;
mod damage;
mod embedded;
mod frame;
mod hostile;
mod lesser;
mod settings;
mod time;
