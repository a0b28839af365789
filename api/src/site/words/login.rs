//! The words of `site::login`.

pub(in crate::site) const TITLE: &str = "Log in";
pub(in crate::site) const LEAD: &str = "This book can be reached over a network, so it asks who you are. The person who runs it made you a token: a long word with a dot in it.";
pub(in crate::site) const LABEL: &str = "Your token";
pub(in crate::site) const SEND: &str = "Log in";
pub(in crate::site) const WRONG: &str =
    "No token like that is in force. Look whether all of it was pasted, or ask for a new one.";
pub(in crate::site) const LASTS: &str =
    "You stay logged in for twelve hours, or until you log out. The token is kept in no file here.";
