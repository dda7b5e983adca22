//! Another program at the same database.

use sea_orm::{Database as SeaOrm, DatabaseConnection};
use store::{Database, Places};

pub(crate) async fn another(places: &Places) -> DatabaseConnection {
    let url = match &places.database {
        Database::File(file) => format!("sqlite://{}", file.display()),
        Database::Server(url) => url.clone(),
    };
    let mut options = sea_orm::ConnectOptions::new(url);
    options.max_connections(1);
    SeaOrm::connect(options).await.unwrap()
}
