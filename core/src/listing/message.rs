//! A short polite message to the seller.

use super::Ask;

/// Things asked for at once: more are not answered.
const ASKED: usize = 3;

pub(super) fn of(asks: &[Ask]) -> String {
    let requests: Vec<&str> = asks.iter().take(ASKED).map(|ask| ask.request.as_str()).collect();
    match requests.as_slice() {
        [] => String::new(),
        [one] => format!("Hello, thank you for showing this reel. {one} Thank you, and kind regards."),
        several => {
            let mut message =
                String::from("Hello, thank you for showing this reel. Before I decide I have a few wishes.\n");
            for (number, request) in several.iter().enumerate() {
                message.push_str(&format!("{}. {request}\n", number + 1));
            }
            message.push_str("Thank you for your trouble, and kind regards.");
            message
        }
    }
}
