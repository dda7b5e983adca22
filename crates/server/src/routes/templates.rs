use super::DONE;
use crate::convert::{count, id, version};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path};
use crate::failure::Failure;
use crate::movement::OpenLog;
use crate::wire::{NewTemplate, Problem, Template, TemplateChange, TemplateDrafts, TemplateList};
use axum::Extension;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use jobs::{JobId, TemplateId};
use logbook::LogChange;
use store::{Kept, Order, Page};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use uuid::Uuid;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, create))
        .routes(routes!(change, delete))
        .routes(routes!(file))
        .routes(routes!(drafts))
}

/// What is kept of a template can be read, since it was written here.
fn read(kept: &Kept<jobs::Template>) -> Result<logbook::Template, Failure> {
    logbook::Template::from_json(kept.value.log.as_bytes())
        .map_err(|error| Failure::Ours(format!("template {} cannot be read: {error}", kept.id)))
}

/// A template as it is told.
pub(super) fn shown(kept: &Kept<jobs::Template>) -> Result<Template, Failure> {
    let steps = read(kept)?.pattern.steps.len();
    Ok(Template {
        id: kept.id.to_string(),
        version: version(kept.version),
        name: kept.value.name.clone(),
        note: kept.value.note.clone(),
        steps: count(steps as u64),
    })
}

/// The templates, the last changed first.
#[utoipa::path(get, path = "/templates", responses((status = 200, body = TemplateList)))]
async fn list(State(desk): State<Desk>) -> Result<Json<TemplateList>, Failure> {
    let listed = desk.store.list(None, Order::LatestChangeFirst, Page::first(Page::MOST)).await?;
    let templates = listed.items.iter().map(shown).collect::<Result<_, _>>()?;
    Ok(Json(TemplateList { templates }))
}

/// Keeps a template: from the log of a job, without anything of its owner, or from a file.
#[utoipa::path(post, path = "/templates", request_body = NewTemplate,
    responses((status = 201, body = Template), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(new): Json<NewTemplate>,
) -> Result<(StatusCode, Json<Template>), Failure> {
    let NewTemplate { name, note, job_id, file } = new;
    let said = |text: Option<String>| text.map(|text| text.trim().to_owned()).unwrap_or_default();
    let (name, note) = (said(name), said(note));
    let template = match (job_id, file) {
        (Some(job), None) => {
            let job: JobId = id(&job)?;
            let open = OpenLog::of(&desk, job).await?;
            if open.state().part_count() == 0 {
                let words =
                    "Nothing has been taken out in this job yet: there is no template in it.";
                return Err(Failure::Invalid(words.into()));
            }
            logbook::Template::of(open.state(), &name, &note)
        }
        (None, Some(file)) => {
            let mut template = logbook::Template::from_json(file.as_bytes())
                .map_err(|error| Failure::Invalid(format!("This is no template: {error}")))?;
            if !name.is_empty() {
                template.name = name;
            }
            if !note.is_empty() {
                template.note = note;
            }
            template
        }
        _ => {
            let words = "A template is made from the log of a job, or from a file: name one.";
            return Err(Failure::Invalid(words.into()));
        }
    };
    let log = template.to_json().map_err(|e| Failure::Ours(e.to_string()))?;
    let value = jobs::Template { name: template.name, note: template.note, log };
    let kept = desk.store.create(&asker.by(), value).await?;
    Ok((StatusCode::CREATED, Json(shown(&kept)?)))
}

/// Changes a template's name or note.
#[utoipa::path(patch, path = "/templates/{id}", params(("id" = String, Path)), request_body = TemplateChange,
    responses((status = 200, body = Template), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<TemplateChange>,
) -> Result<Json<Template>, Failure> {
    let template: TemplateId = id(&path)?;
    let mut value = desk.store.get(template).await?.value;
    if let Some(name) = sent.name {
        name.trim().clone_into(&mut value.name);
    }
    if let Some(note) = sent.note {
        value.note = note;
    }
    match desk.store.change(&asker.by(), template, i64::from(sent.version), value).await {
        Ok(kept) => Ok(Json(shown(&kept)?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a template into the bin.
#[utoipa::path(delete, path = "/templates/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<jobs::Template>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}

/// A template as a file, to be shared.
#[utoipa::path(get, path = "/templates/{id}/file", params(("id" = String, Path)),
    responses((status = 200, body = logbook::TemplateFile), (status = 404, body = Problem)))]
async fn file(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Response, Failure> {
    let template: TemplateId = id(&path)?;
    let kept = desk.store.get(template).await?;
    let mut file = read(&kept)?;
    file.name.clone_from(&kept.value.name);
    file.note.clone_from(&kept.value.note);
    let json = file.to_json().map_err(|e| Failure::Ours(e.to_string()))?;
    let headers = [
        (header::CONTENT_TYPE, "application/json"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"template.endshake.json\""),
    ];
    Ok((headers, json).into_response())
}

/// What to enter for a movement that is like the template, with new ids.
#[utoipa::path(get, path = "/templates/{id}/drafts", params(("id" = String, Path)),
    responses((status = 200, body = TemplateDrafts), (status = 404, body = Problem)))]
async fn drafts(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<TemplateDrafts>, Failure> {
    let template: TemplateId = id(&path)?;
    let pattern = read(&desk.store.get(template).await?)?.pattern;
    let changes = pattern.drafts(Uuid::now_v7).iter().map(LogChange::from).collect();
    Ok(Json(TemplateDrafts { changes }))
}
