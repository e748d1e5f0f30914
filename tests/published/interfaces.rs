//! Interface windows: launch, sensitivity, penalty and overload against the loss range a text prints.

use spanwright::budget::{Reason, Verdict};

use crate::bench::{Bench, FACING, Link, Sight, closes, exact, padded, range, reach};

/// ITU-T G.957 and G.691 application codes, from memory: launch, sensitivity, overload, path
/// penalty and the attenuation range between S and R that they leave.
#[test]
fn itu_application_codes_close_on_their_attenuation_range() {
    let codes = [
        ("S-1.1", [-15.0, -8.0], -28.0, -8.0, 1.0, [0.0, 12.0]),
        ("L-1.1", [-5.0, 0.0], -34.0, -10.0, 1.0, [10.0, 28.0]),
        ("S-16.1", [-5.0, 0.0], -18.0, 0.0, 1.0, [0.0, 12.0]),
        ("L-16.1", [-2.0, 3.0], -27.0, -9.0, 1.0, [12.0, 24.0]),
        ("S-64.2b", [-1.0, 2.0], -14.0, -1.0, 2.0, [3.0, 11.0]),
        ("L-64.2a", [-2.0, 2.0], -26.0, -9.0, 2.0, [11.0, 22.0]),
    ];
    for (code, launch, sensitivity, overload, penalty, loss) in codes {
        let levels = Bench::recalled("ITU-T G.957, G.691").interface(
            "book",
            1550.0,
            launch,
            [sensitivity + penalty, overload],
        );
        for (bench, name) in [(levels, "book"), (Bench::recalled("ITU-T G.957, G.691"), code)] {
            let at = |pad: f64| bench.judge(&padded(name, name, pad)).end("a/1", "b/1");
            range(at(loss[1]).window, loss);
            assert!(closes(&at(loss[0])) && closes(&at(loss[1])), "{code} as {name}");
            assert_eq!(at(loss[1] + 0.01).verdict, Verdict::Fail, "{code} as {name}");
            if loss[0] > 0.0 {
                assert_eq!(at(loss[0] - 0.01).verdict, Verdict::Overload, "{code} as {name}");
            }
        }
    }
}

/// ITU-T G.957 (1990) gave L-16.1 a loss of 10 to 24 dB, from memory; launch +3 and overload -9 dBm
/// need 12 dB. Of two least losses the greater one protects the receiver.
#[test]
fn levels_outweigh_a_stated_least_loss() {
    const COLUMNS: &str = "interface,lanes,fiber_kind,fibers,tx_nm,levels,tx_min_dbm,tx_max_dbm,rx_min_dbm,\
                           overload_dbm,overload_terms,max_channel_loss_db,min_channel_loss_db";
    let row = "book,1,SM,2,1310,mean,-2,3,-26,-9,mean,24,10".to_string();
    let bench = Bench::recalled("ITU-T G.957 (1990)").rows("interfaces", COLUMNS, &[row]);
    let at = |pad: f64| bench.judge(&padded("book", "book", pad)).end("a/1", "b/1");
    range(at(15.0).window, [12.0, 24.0]);
    assert_eq!(at(11.0).verdict, Verdict::Overload);
    assert!(closes(&at(12.0)));
}

/// Parts for coarse wavelength multiplexing at 2.5 Gbit/s, a product table: 40 km, at most +5 dBm,
/// least loss 5 dB: overload 0 dBm; 80 km, at least 0 dBm, 25.5 dB with a penalty of 2.5 dB:
/// sensitivity -28 dBm.
#[test]
fn cwdm_parts_close_on_their_loss_range() {
    let near = Bench::of("product table").interface("book", 1551.0, [0.0, 5.0], [-17.0, 0.0]);
    exact(near.judge(&padded("book", "book", 6.0)).end("a/1", "b/1").window[0], 5.0);
    let far = Bench::of("product table").interface("book", 1551.0, [0.0, 5.0], [-28.0 + 2.5, -8.0]);
    let at = |pad| far.judge(&padded("book", "book", pad)).end("a/1", "b/1");
    exact(at(25.5).margin, 0.0);
    assert_eq!(at(25.6).reason, Reason::OverLoss);
}

/// An equipment manual on 10BASE-FL: each fiber takes another nominal peak level, 3 dB up or down;
/// the receiver takes -29.5 to -8 dBm. Budget and least loss by fiber.
#[test]
fn ten_base_fl_budgets_by_fiber() {
    let fibers = [
        ("50 um", -16.5, 10.0, Some(0.0)),
        ("85 um", -9.0, 17.5, None),
        ("100 um", -6.5, 20.0, Some(4.5)),
    ];
    for (fiber, nominal, budget, least) in fibers {
        let bench = Bench::of("equipment manual").interface(
            "book",
            850.0,
            [nominal - 3.0, nominal + 3.0],
            [-29.5, -8.0],
        );
        let end = bench.judge(&padded("book", "book", 9.0)).end("a/1", "b/1");
        exact(end.window[1], budget);
        if let Some(least) = least {
            exact(end.window[0], least);
        }
        assert!(closes(&end), "{fiber}");
    }
}

/// An industrial switch's manual: system loss less a reserve, by the attenuation, in whole
/// kilometers: 1G LX 20 km, LX+ 42 km, LH+ 128 km, 100M LH 104 km.
#[test]
fn greatest_lengths_of_an_industrial_switch() {
    let parts = [
        (10.5, 2.5, 0.4, 20.0),
        (20.0, 3.0, 0.4, 42.0),
        (30.0, 3.0, 0.21, 128.0),
        (29.0, 3.0, 0.25, 104.0),
    ];
    for (system, reserve, per_km, km) in parts {
        let link = Link {
            source: "industrial switch manual",
            nm: 1550.0,
            receive: -system,
            reserve,
            per_km,
            ..Link::BARE
        };
        assert!(closes(&link.over(km)), "{km} km");
        let longer = link.over(km + 1.0);
        assert_eq!((longer.verdict, longer.reason), (Verdict::Marginal, Reason::ReserveNotKept));
    }
}

/// The same manual gives least lengths from the lowest attenuation, 0.21 dB/km, and rounds them
/// DOWN like the greatest: 71 km for a least loss of 15 dB, 47 km for 10 dB. Over just that length
/// the receiver is still overloaded: a least length is rounded up.
#[test]
fn a_least_length_is_rounded_up() {
    for (least, km) in [(15.0, 71.0), (10.0, 47.0)] {
        let over = |km: f64| -> Sight {
            let bench = Bench::of("industrial switch manual")
                .rows(
                    "fiber-attenuation",
                    "fiber,nm,least_db_km,most_db_km",
                    &["G.652.D,1550,0.21,0.25".to_string()],
                )
                .interface("book", 1550.0, [0.0, 0.0], [-30.0, -least]);
            let plan = format!("{FACING}spans: [{{from: a/1, to: b/1, length: {km} km}}]\n");
            bench.judge(&plan).end("a/1", "b/1")
        };
        assert_eq!(over(km).verdict, Verdict::Overload, "{km} km");
        assert!(closes(&over(km + 1.0)), "{} km", km + 1.0);
    }
}

/// A relay maker's switch manual on 10 Mbit/s: -15 and -31 dBm, 1 dB of ageing, 1 dB of insertion:
/// 14 dB, at 2.8 dB/km 5.0 km on 62.5 um; 9.5 dB on 50 um, 3.4 km. There a distance is what the
/// fiber alone may lose.
#[test]
fn a_relay_makers_worst_case() {
    let over = |budget: f64, km: f64| {
        let bench = Bench::of("switch manual")
            .fiber("book", &[(850.0, 2.8)])
            .connector("book", 1.0)
            .interface("book", 850.0, [-15.0, -15.0], [-15.0 - budget, -15.0]);
        let plan = format!(
            "allowances: {{ageing: 1 dB}}\n{FACING}spans: [{{from: a/1, to: b/1, length: {km} km, \
             fiber: book, connectors: 1, connector: book}}]\n"
        );
        bench.judge(&plan).end("a/1", "b/1")
    };
    exact(over(16.0, 1.0).window[1] - 2.0, 14.0);
    reach("5.0", |km| over(16.0, km));
    reach("3.4", |km| over(11.5, km));
}
