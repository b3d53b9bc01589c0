#![no_main]
//! The four messages: no bytes make reading stumble, and what was read is written as the same bytes.

use libfuzzer_sys::fuzz_target;
use tailplate_core::sync::{Place, Pull, Pulled, Push, Pushed, Replica};

fuzz_target!(|bytes: &[u8]| {
    if let Ok(push) = Push::decode(bytes) {
        assert_eq!(push.encode(), bytes);
    }
    if let Ok(pull) = Pull::decode(bytes) {
        assert_eq!(pull.encode(), bytes);
    }
    // A reason that is no UTF-8 and a flag above one are read kindly, so here it is the second reading that counts. An
    // answer to a call that was made is taken over as well, whatever it says.
    if let Ok(pushed) = Pushed::decode(bytes) {
        assert_eq!(Pushed::decode(&pushed.encode()), Ok(pushed.clone()));
        let mut replica = Replica::new(Place::paired(pushed.shop), pushed.call.wrapping_sub(1));
        let item = tailplate_core::sync::Item { kind: "reel".into(), record: pushed.shop, bytes: vec![0, 0] };
        replica.push([(1, item)]).expect("there is something to send");
        replica.pushed(&pushed).expect("it is the same shop");
    }
    if let Ok(pulled) = Pulled::decode(bytes) {
        assert_eq!(Pulled::decode(&pulled.encode()), Ok(pulled.clone()));
        let mut replica = Replica::new(Place::paired(pulled.shop), pulled.call.wrapping_sub(1));
        replica.pull();
        replica.pulled(pulled).expect("it is the same shop");
    }
});
