//! How much of the download is there so that edits made apart can be joined?

use crate::say::{Result, read};
use std::{collections::BTreeMap, io::Write, path::Path};
use wasmparser::{KnownCustom, Name, Parser, Payload, TypeRef};

/// The crate that joins, and those that only it brings along, as they stand in the compiler's names of functions.
const CRATES: [&str; 6] = ["yrs", "arc_swap", "async_lock", "dashmap", "event_listener", "smallstr"];
/// In bytes, compressed with brotli.
pub const MOST: u64 = 130 * 1024;

/// What the functions of those crates weigh together, compressed with brotli: as the compiler leaves them, which is more
/// than what is left of them in the parts that are handed out. Code of others that was made for their types is theirs
/// where its name tells so.
pub fn weight(program: &Path) -> Result<u64> {
    let bytes = read(program)?;
    let unread = |error: wasmparser::BinaryReaderError| format!("{}: {error}", program.display());
    let (mut imported, mut bodies, mut names) = (0_u32, Vec::new(), BTreeMap::new());
    for payload in Parser::new(0).parse_all(&bytes) {
        match payload.map_err(unread)? {
            Payload::ImportSection(imports) => {
                for import in imports.into_imports() {
                    imported += u32::from(matches!(import.map_err(unread)?.ty, TypeRef::Func(_)));
                }
            }
            Payload::CodeSectionEntry(body) => bodies.push(body.as_bytes()),
            Payload::CustomSection(section) => {
                let KnownCustom::Name(subsections) = section.as_known() else { continue };
                for subsection in subsections {
                    let Name::Function(functions) = subsection.map_err(unread)? else { continue };
                    for naming in functions {
                        let naming = naming.map_err(unread)?;
                        names.insert(naming.index, naming.name);
                    }
                }
            }
            _ => {}
        }
    }
    let mut packed = brotli::CompressorWriter::new(Vec::new(), 1 << 16, 11, 22);
    let mut found = 0;
    for (at, body) in (imported..).zip(&bodies) {
        if names.get(&at).is_some_and(|name| is_of(name)) {
            found += 1;
            packed.write_all(body).map_err(|error| error.to_string())?;
        }
    }
    // None at all would mean that the names were not understood.
    if found == 0 {
        Err("No function of the joining of edits is known by its name.".into())
    } else {
        Ok(packed.into_inner().len() as u64)
    }
}

/// `_ZN3yrs…` is a function of the crate; `…$LT$yrs..doc..Doc$GT$…` one made for its types.
fn is_of(name: &str) -> bool {
    CRATES
        .iter()
        .any(|known| name.contains(&format!("ZN{}{known}", known.len())) || name.contains(&format!("${known}..")))
}

#[cfg(test)]
mod tests {
    #[test]
    fn functions_are_known_by_the_names_of_their_crates() {
        for (name, wanted) in [
            ("_ZN3yrs11transaction14TransactionMut6commit17h90a49f9e918a1c48E", true),
            ("_ZN4core3ptr46drop_in_place$LT$yrs..block..ItemPtr$GT$17h0cd762d4797ffe04E", true),
            ("_ZN14tailplate_core6record4join17h0cd762d4797ffe04E", false),
        ] {
            assert_eq!(super::is_of(name), wanted, "{name}");
        }
    }
}
