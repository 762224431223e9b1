//! Devices on a network that is made up.

mod converging;
mod device;
mod hostile;
mod joining;
mod net;
mod roster;
mod two;
