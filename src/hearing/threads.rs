//! How many threads to recognise with: as many as there are cores with nothing else to do.
//!
//! The recogniser's threads wait for each other by spinning. One thread too many on a busy machine makes every one of its
//! many small steps wait for the scheduler, and a window that takes three seconds takes thirty.

use std::num::NonZero;
use std::time::Duration;

/// More threads than this gain nothing on a model of this size.
const MOST: usize = 8;
/// What is running changes from one moment to the next: look this often, this far apart.
const LOOKS: usize = 5;
const APART: Duration = Duration::from_millis(2);

/// Threads for the next window.
pub(super) fn free() -> usize {
    let allowed = std::thread::available_parallelism().map_or(1, NonZero::get).min(MOST);
    if allowed == 1 {
        return 1;
    }
    match (online(), busy()) {
        (Some(cores), Some(busy)) => allowed.min(cores.saturating_sub(busy)).max(1),
        _ => allowed,
    }
}

/// Threads of others that want a core now, where the system tells (Linux).
fn busy() -> Option<usize> {
    let mut seen = 0;
    for look in 0..LOOKS {
        if look > 0 {
            std::thread::sleep(APART);
        }
        let load = std::fs::read_to_string("/proc/loadavg").ok()?;
        let running: usize = load.split_whitespace().nth(3)?.split('/').next()?.parse().ok()?;
        // One of them is the thread that asks.
        seen += running.saturating_sub(1);
    }
    Some((seen + LOOKS / 2) / LOOKS)
}

/// Cores of the whole machine, of which this process may be allowed fewer.
fn online() -> Option<usize> {
    count(std::fs::read_to_string("/sys/devices/system/cpu/online").ok()?.trim())
}

/// Counts a list such as `0-3,8`.
fn count(list: &str) -> Option<usize> {
    list.split(',').try_fold(0, |total, range| {
        let (first, last) = range.split_once('-').unwrap_or((range, range));
        let (first, last) = (first.parse::<usize>().ok()?, last.parse::<usize>().ok()?);
        Some(total + last.checked_sub(first)? + 1)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn core_lists_are_counted() {
        assert_eq!(count("0"), Some(1));
        assert_eq!(count("0-3,8,10-11"), Some(7));
        assert_eq!(count("3-1"), None);
        assert_eq!(count(""), None);
        assert!(free() >= 1);
    }
}
