//! Numbers that are given out once.

use crate::entity::counter;
use crate::error::{Error, Result};
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, DatabaseTransaction, EntityTrait, ExprTrait, QueryFilter};

/// Takes `many` numbers in a row and gives the last of them. The row stays locked until the
/// transaction ends.
pub(crate) async fn next(transaction: &DatabaseTransaction, name: &str, many: i64) -> Result<i64> {
    counter::Entity::update_many()
        .col_expr(counter::Column::Value, Expr::col(counter::Column::Value).add(many))
        .filter(counter::Column::Name.eq(name))
        .exec(transaction)
        .await?;
    let row = counter::Entity::find_by_id(name.to_owned()).one(transaction).await?;
    row.map(|row| row.value)
        .ok_or_else(|| Error::Damaged(format!("the counter \"{name}\" is gone.")))
}
