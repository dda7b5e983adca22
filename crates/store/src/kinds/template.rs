use super::{Stored, row::Row};
use crate::entity::template;
use crate::error::Result;
use crate::kept::{Kept, Present};
use jobs::Template;
use uuid::Uuid;

impl Row for Template {
    type Model = template::Model;
    type ActiveModel = template::ActiveModel;
    type Entity = template::Entity;

    fn row(&self, id: Uuid) -> Result<template::Model> {
        let Self { name, note, log } = self.clone();
        Ok(template::Model { id, name, note, log })
    }

    fn from_row(row: template::Model, _parent: Option<Uuid>) -> Result<Self> {
        let template::Model { id: _, name, note, log } = row;
        Ok(Self { name, note, log })
    }
}

impl Stored for Template {
    fn present(kept: Kept<Self>) -> Present {
        Present::Template(kept)
    }
}
