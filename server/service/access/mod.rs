//! Who may call what? Three roles, one table of them against the calls, and the tokens that stand
//! for a role. Deliberately absent: how a call comes in (`gate`).

pub mod certificates;
pub mod private_file;
pub mod roles;
pub mod tokens;
