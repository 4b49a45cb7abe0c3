//! The door: parse the command line, call the library, return the exit status.

fn main() {}
