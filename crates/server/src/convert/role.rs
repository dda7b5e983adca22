use crate::wire;
use store::Role;

pub(crate) fn role(role: Role) -> wire::Role {
    match role {
        Role::Owner => wire::Role::Owner,
        Role::Repairer => wire::Role::Repairer,
        Role::ReadOnly => wire::Role::ReadOnly,
    }
}

pub(crate) fn role_wished(role: wire::Role) -> Role {
    match role {
        wire::Role::Owner => Role::Owner,
        wire::Role::Repairer => Role::Repairer,
        wire::Role::ReadOnly => Role::ReadOnly,
    }
}
