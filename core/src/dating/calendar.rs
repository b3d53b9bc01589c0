//! Days and weekdays of the Gregorian calendar, in whole numbers.

pub const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// Year, month 1–12, day 1–31. Day 0 where only the month is known, month 0 where only the year is.
pub type Date = (i32, u8, u8);

pub fn is_leap(year: i32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

pub fn days_in_month(year: i32, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if is_leap(year) => 29,
        2 => 28,
        _ => 31,
    }
}

pub fn is_date((year, month, day): Date) -> bool {
    (1..=12).contains(&month) && day >= 1 && day <= days_in_month(year, month)
}

/// Days since 1 January of the year 0; the year is taken to begin in March, so that the leap day comes last.
pub fn day_number((year, month, day): Date) -> i64 {
    let year = i64::from(year) - i64::from(month < 3);
    let month = (i64::from(month) + 9) % 12;
    year * 365 + year.div_euclid(4) - year.div_euclid(100)
        + year.div_euclid(400)
        + (month * 153 + 2) / 5
        + i64::from(day)
        + 59
}

/// The date of a day counted from 1 January 1970; the inverse of [`day_number`].
pub fn date_of_unix_day(day: i64) -> Date {
    // Counted from 1 March of the year 0, in spans of 400 years, which all have the same number of days.
    let day = day + 719_468;
    let (span, day) = (day.div_euclid(146_097), day.rem_euclid(146_097));
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day + 2) / 153;
    let date = (day - (153 * month + 2) / 5 + 1) as u8;
    let month = if month < 10 { month + 3 } else { month - 9 };
    ((span * 400 + year + i64::from(month < 3)) as i32, month as u8, date)
}

/// ISO number of the weekday, Monday 1 to Sunday 7.
pub fn weekday(date: Date) -> u8 {
    ((day_number(date) + 5).rem_euclid(7) + 1) as u8
}

pub fn weekday_name(weekday: u8) -> &'static str {
    WEEKDAYS[usize::from(weekday.clamp(1, 7) - 1)]
}

/// The next or the previous day of the calendar.
pub fn step((year, month, day): Date, forward: bool) -> Date {
    match (forward, month, day) {
        (true, 12, 31) => (year + 1, 1, 1),
        (true, m, d) if d >= days_in_month(year, m) => (year, m + 1, 1),
        (true, m, d) => (year, m, d + 1),
        (false, 1, 1) => (year - 1, 12, 31),
        (false, m, 1) => (year, m - 1, days_in_month(year, m - 1)),
        (false, m, d) => (year, m, d - 1),
    }
}

/// As people write it: `8 October 1906`.
pub fn words((year, month, day): Date) -> String {
    match (month, day) {
        (1..=12, 1..) => format!("{day} {} {year}", MONTHS[usize::from(month) - 1]),
        (1..=12, 0) => format!("{} {year}", MONTHS[usize::from(month) - 1]),
        _ => year.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_its_date_and_back() {
        let epoch = day_number((1970, 1, 1));
        for day in (-800_000..800_000).step_by(13) {
            assert_eq!(day_number(date_of_unix_day(day)) - epoch, day);
        }
        assert_eq!(date_of_unix_day(11_016), (2000, 2, 29));
    }

    use proptest::prelude::*;

    #[test]
    fn known_weekdays() {
        assert_eq!(weekday((2000, 1, 1)), 6);
        assert_eq!(weekday((1859, 8, 8)), 1);
        assert_eq!(weekday((1838, 7, 26)), 4);
        assert_eq!(weekday((1882, 7, 4)), 2);
        assert_eq!(weekday((1900, 3, 1)), 4);
    }

    proptest! {
        #[test]
        fn the_weekday_moves_on_by_one_each_day(year in 1700..2100i32, month in 1..=12u8, day in 1..=31u8) {
            let date = (year, month, day);
            prop_assume!(is_date(date));
            let next = step(date, true);
            prop_assert!(is_date(next));
            prop_assert_eq!(day_number(next), day_number(date) + 1);
            prop_assert_eq!(weekday(next), weekday(date) % 7 + 1);
            prop_assert_eq!(step(next, false), date);
        }

        #[test]
        fn the_calendar_repeats_after_400_years(year in 1700..1900i32, month in 1..=12u8, day in 1..=28u8) {
            prop_assert_eq!(weekday((year, month, day)), weekday((year + 400, month, day)));
        }
    }
}
