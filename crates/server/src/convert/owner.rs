use super::{lines, version};
use crate::wire;
use jobs::Owner;
use store::Kept;

pub(crate) fn owner(kept: &Kept<Owner>) -> wire::Owner {
    let Owner { name, contact, notes } = &kept.value;
    wire::Owner {
        id: kept.id.to_string(),
        version: version(kept.version),
        name: name.clone(),
        contact: contact.join("\n"),
        notes: notes.clone(),
    }
}

pub(crate) fn new_owner(new: wire::NewOwner) -> Owner {
    Owner {
        name: new.name.trim().to_owned(),
        contact: lines(&new.contact.unwrap_or_default()),
        notes: new.notes.unwrap_or_default(),
    }
}

pub(crate) fn change_owner(owner: &mut Owner, change: wire::OwnerChange) {
    let wire::OwnerChange { version: _, name, contact, notes } = change;
    if let Some(name) = name {
        name.trim().clone_into(&mut owner.name);
    }
    if let Some(contact) = contact {
        owner.contact = lines(&contact);
    }
    if let Some(notes) = notes {
        owner.notes = notes;
    }
}
