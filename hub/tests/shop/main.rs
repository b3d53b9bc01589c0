//! The shop's computer: the real program over real sockets, and its stores, on SQLite with a folder and on PostgreSQL with a
//! bucket. One file asks one question; the second half of the list is what they ask with.

mod backup;
mod calls;
mod entry;
mod full;
mod import;
mod kill;
mod load;
mod log;
mod network;
mod together;

mod folder;
mod kept;
mod phone;
mod program;
mod pushing;
mod running;
mod servers;
