//! The store from outside: each scenario on SQLite and on PostgreSQL, and what only one of them
//! can do.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod another;
mod archives;
mod bucket;
mod bucket_server;
mod content;
mod copies;
mod disk;
mod encrypted;
mod finding;
mod given;
mod joining;
mod keeping;
mod logs;
mod looking;
mod media;
mod model;
mod older;
mod opening;
mod paper;
mod postgres;
mod postgres_line;
mod resending;
mod telling;
mod together;
mod upgrading;

use std::future::Future;
use std::pin::Pin;
use store::{MediaPlace, Places, Store};

type Scenario = fn(Store) -> Pin<Box<dyn Future<Output = ()> + Send>>;

/// Every scenario, as a test of its own on SQLite and in a list for PostgreSQL.
macro_rules! scenarios {
    ($($module:ident :: $name:ident,)+) => {
        mod on_sqlite {
            $(
                #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
                async fn $name() {
                    let folder = tempfile::tempdir().unwrap();
                    let places = super::Places::in_folder(folder.path());
                    super::$module::$name(super::Store::open(&places).await.unwrap()).await;
                }
            )+
        }

        const SCENARIOS: &[(&str, Scenario)] = &[
            $((stringify!($name), |store| Box::pin($module::$name(store))),)+
        ];
    };
}

scenarios! {
    archives::what_goes_out_comes_in_again,
    archives::a_job_brings_its_watch_and_owner,
    archives::what_does_not_go_together_is_refused,
    keeping::what_is_kept_comes_back_as_it_was,
    keeping::a_change_needs_the_version_it_is_based_on,
    keeping::nothing_hangs_on_nothing,
    keeping::what_may_not_be_kept_is_refused,
    keeping::jobs_are_numbered,
    keeping::what_is_deleted_comes_back_with_all_that_hangs_on_it,
    keeping::an_emptied_bin_leaves_nothing,
    keeping::lists_come_in_pages_and_in_order,
    keeping::jobs_are_listed_with_watch_and_owner,
    keeping::one_of_the_bin_is_removed_with_all_below_it,
    keeping::an_owner_with_very_many_below_is_removed,
    keeping::many_at_once_lose_nothing,
    keeping::templates_and_bottles_belong_to_nothing,
    keeping::moves_belong_to_their_job,
    keeping::a_trial_belongs_to_its_job,
    keeping::a_final_test_belongs_to_its_job,
    finding::words_find_by_their_beginning,
    finding::a_job_is_found_by_its_watch_and_owner,
    finding::what_changed_last_comes_first,
    finding::frequent_words_are_found_page_by_page,
    finding::lists_are_cut_down_to_what_holds_words,
    finding::lists_cut_down_come_in_pages,
    finding::lists_follow_what_is_changed_below,
    finding::an_older_database_gets_its_words_of_groups,
    opening::all_who_wait_are_told_that_it_is_locked,
    paper::paper_records_are_taken_in_once,
    upgrading::a_servers_database_is_brought_up_when_told,
    together::all_or_nothing,
    together::an_estimate_is_a_part_of_its_job,
    together::a_job_has_one_estimate,
    together::an_entry_and_a_part_are_kept_once_and_together,
    together::what_is_sent_again_under_its_id_counts_once,
    logs::entries_are_kept_once_and_in_order,
    logs::another_entry_under_an_id_is_refused,
    logs::a_log_goes_with_its_job,
    logs::a_job_is_found_by_its_log,
    logs::each_entry_is_told,
    logs::a_check_finds_entries_that_are_not_sound,
    resending::two_devices_that_send_again_and_again_keep_each_entry_once,
    telling::each_change_is_told_field_by_field,
    telling::others_hear_of_changes,
    telling::changes_of_another_program_are_heard,
    joining::a_code_lets_one_device_in,
    joining::a_device_that_was_turned_out_stays_out,
    joining::a_role_is_given_and_told,
    joining::clocks_and_settings_are_kept,
    joining::own_words_are_changed_by_who_has_seen_them,
    media::sounds_and_photos_are_kept_by_content,
    media::a_record_names_nothing_that_is_not_there,
    copies::a_backup_holds_everything,
    copies::a_check_finds_what_is_wrong,
    copies::the_sign_of_papers_belongs_to_the_workshop,
    copies::an_empty_database_sweeps_nothing,
}

#[test]
fn every_scenario_on_postgresql() {
    let Some(server) = postgres::Server::start() else { return };
    let runtime = tokio::runtime::Runtime::new().unwrap();
    // Several programs that come to a fresh database at once.
    let together = runtime.block_on(async {
        let folder = tempfile::tempdir().unwrap();
        let database = server.fresh_database("together").await;
        let places = Places::new(database, MediaPlace::Folder(folder.path().join("media")));
        let opened = (0..4).map(|_| {
            let places = places.clone();
            tokio::spawn(async move { Store::open(&places).await.map(|_| ()) })
        });
        let mut results = Vec::new();
        for one in opened.collect::<Vec<_>>() {
            results.push(one.await.unwrap());
        }
        results
    });
    assert!(together.iter().all(Result::is_ok), "{together:?}");
    let mut failed = Vec::new();
    for (name, scenario) in SCENARIOS {
        let folder = tempfile::tempdir().unwrap();
        let database = runtime.block_on(server.fresh_database(name));
        let places = Places::new(database, MediaPlace::Folder(folder.path().join("media")));
        let run = runtime.spawn(async move {
            scenario(Store::open(&places).await.unwrap()).await;
        });
        if runtime.block_on(run).is_err() {
            failed.push(name);
        }
    }
    assert!(failed.is_empty(), "on PostgreSQL these failed: {failed:?}");
}
