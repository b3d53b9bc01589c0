mod photo;
mod store;
mod update;

fn main() {}
