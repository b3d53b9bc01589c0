mod store;

fn main() {}
