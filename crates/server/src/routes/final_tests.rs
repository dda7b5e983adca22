use super::regulating::{all, with_ids};
use super::trials::balances;
use super::{DONE, workshop};
use crate::convert::{
    change_final_test, final_test, id, new_final_test, test_kind_from, test_standard,
};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path};
use crate::failure::Failure;
use crate::final_tests::{last, offers, sheet, to_do};
use crate::wire::{FinalTest, FinalTestChange, FinalTestList, NewFinalTest, Problem, TestDraft};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{AnyId, FinalTestId, Job, JobId, Kind, Photo, Reading, Record};
use store::{Kept, Order, Page};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, create))
        .routes(routes!(judge))
        .routes(routes!(get, change, delete))
}

/// The tests of a job in the order in which they were done.
async fn tests(desk: &Desk, job: JobId) -> Result<Vec<Kept<jobs::FinalTest>>, Failure> {
    let mut tests = all::<jobs::FinalTest>(desk, job).await?;
    tests.sort_by_key(|kept| kept.value.done);
    Ok(tests)
}

fn values(tests: &[Kept<jobs::FinalTest>]) -> Vec<&jobs::FinalTest> {
    tests.iter().map(|kept| &kept.value).collect()
}

/// A test as it is told, with the others of its job.
pub(super) async fn shown(desk: &Desk, kept: &Kept<jobs::FinalTest>) -> Result<FinalTest, Failure> {
    let of_job = tests(desk, kept.value.job).await?;
    Ok(final_test(kept, sheet(&kept.value, &values(&of_job))))
}

/// Earlier jobs that are looked at for what a watch was tested with.
const MOST_VISITS: usize = 8;

/// The tests of earlier jobs of the watch, the oldest first.
async fn earlier(desk: &Desk, job: JobId) -> Result<Vec<Kept<jobs::FinalTest>>, Failure> {
    let watch = desk.store.get(job).await?.value.watch;
    let page = Page { offset: 0, limit: Page::MOST };
    let of = Some(AnyId { kind: Kind::Watch, uuid: watch.uuid() });
    let visits = desk.store.list::<Job>(of, Order::NewestFirst, page).await?.items;
    let mut earlier = Vec::new();
    for visit in visits.iter().skip_while(|kept| kept.id != job).skip(1).take(MOST_VISITS) {
        earlier.extend(tests(desk, visit.id).await?);
    }
    earlier.sort_by_key(|kept| kept.value.done);
    Ok(earlier)
}

/// The final tests of a job in the order in which they were done, and what is still to do.
#[utoipa::path(get, path = "/jobs/{id}/tests", params(("id" = String, Path)),
    responses((status = 200, body = FinalTestList), (status = 404, body = Problem)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<FinalTestList>, Failure> {
    let job: JobId = id(&path)?;
    let readings = all::<Reading>(&desk, job).await?;
    let balances = balances(&desk, job, &readings).await?;
    let (of_job, earlier) = (tests(&desk, job).await?, earlier(&desk, job).await?);
    let of_it = values(&of_job);
    Ok(Json(FinalTestList {
        tests: of_job.iter().map(|kept| final_test(kept, sheet(&kept.value, &of_it))).collect(),
        to_do: to_do(&of_it, &values(&earlier)),
        balances,
    }))
}

/// Photos and readings that a test names anew are of its job. What it named before may be gone by now.
async fn check_named(
    desk: &Desk,
    value: &jobs::FinalTest,
    before: Option<&jobs::FinalTest>,
) -> Result<(), Failure> {
    let elsewhere = |what: &str| {
        Failure::Invalid(format!("A {what} of this test is not of its job; please take it out."))
    };
    let known = |photo: &&jobs::PhotoId| before.is_some_and(|was| was.photos.contains(photo));
    for photo in value.photos.iter().filter(|photo| !known(photo)) {
        let kept = desk.store.get::<Photo>(*photo).await?;
        if kept.value.job != value.job {
            return Err(elsewhere("photo"));
        }
    }
    let known = |one: &&jobs::ReadingId| before.is_some_and(|was| was.readings.contains(one));
    for reading in value.readings.iter().filter(|one| !known(one)) {
        let kept = desk.store.get::<Reading>(*reading).await?;
        if kept.value.job != value.job {
            return Err(elsewhere("reading"));
        }
    }
    Ok(())
}

/// Keeps a test that was done.
#[utoipa::path(post, path = "/jobs/{id}/tests", params(("id" = String, Path)),
    request_body = NewFinalTest,
    responses((status = 201, body = FinalTest), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(new): Json<NewFinalTest>,
) -> Result<(StatusCode, Json<FinalTest>), Failure> {
    let by = asker.by();
    let NewFinalTest { id: own, kind, fields } = new;
    let value = new_final_test(id(&path)?, kind, fields, by.at)?;
    check_named(&desk, &value, None).await?;
    let kept = match own {
        Some(own) => desk.store.create_once(&by, id(&own)?, value).await?,
        None => desk.store.create(&by, value).await?,
    };
    Ok((StatusCode::CREATED, Json(shown(&desk, &kept).await?)))
}

/// What a test that is being filled in comes to so far, which fields it has, and which numbers need not
/// be typed. Nothing is kept.
#[utoipa::path(post, path = "/jobs/{id}/tests/judged", params(("id" = String, Path)),
    request_body = NewFinalTest,
    responses((status = 200, body = TestDraft), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn judge(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(new): Json<NewFinalTest>,
) -> Result<Json<TestDraft>, Failure> {
    let job: JobId = id(&path)?;
    let kind = test_kind_from(new.kind);
    let value = new_final_test(job, new.kind, new.fields, asker.by().at)?;
    let (earlier, of_job) = (earlier(&desk, job).await?, tests(&desk, job).await?);
    let readings = all::<Reading>(&desk, job).await?;
    let adjustments: Vec<jobs::Adjustment> =
        all::<jobs::Adjustment>(&desk, job).await?.into_iter().map(|kept| kept.value).collect();
    let boundaries = regulate::boundaries(&desk.store.get(job).await?.value, &adjustments);
    let settings = workshop(&desk).await?;
    let tolerance = (settings.tolerance_from_s_per_d, settings.tolerance_to_s_per_d);
    let of_watch: Vec<&jobs::FinalTest> =
        earlier.iter().chain(&of_job).map(|kept| &kept.value).collect();
    Ok(Json(TestDraft {
        standard: test_standard(value.standard),
        sheet: sheet(&value, &values(&of_job)),
        refused: value.check().err().map_or_else(String::new, |problem| problem.to_string()),
        offers: offers(kind, &with_ids(&readings), &boundaries, tolerance),
        last: last(&value, &of_watch),
    }))
}

/// One test.
#[utoipa::path(get, path = "/tests/{id}", params(("id" = String, Path)),
    responses((status = 200, body = FinalTest), (status = 404, body = Problem)))]
async fn get(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<FinalTest>, Failure> {
    let which: FinalTestId = id(&path)?;
    Ok(Json(shown(&desk, &desk.store.get(which).await?).await?))
}

/// Changes a test.
#[utoipa::path(patch, path = "/tests/{id}", params(("id" = String, Path)),
    request_body = FinalTestChange,
    responses((status = 200, body = FinalTest), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<FinalTestChange>,
) -> Result<Json<FinalTest>, Failure> {
    let which: FinalTestId = id(&path)?;
    let based_on = i64::from(sent.version);
    let before = desk.store.get(which).await?.value;
    let mut value = before.clone();
    change_final_test(&mut value, sent.fields)?;
    check_named(&desk, &value, Some(&before)).await?;
    match desk.store.change(&asker.by(), which, based_on, value).await {
        Ok(kept) => Ok(Json(shown(&desk, &kept).await?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a test into the bin.
#[utoipa::path(delete, path = "/tests/{id}", params(("id" = String, Path)),
    responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<jobs::FinalTest>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
