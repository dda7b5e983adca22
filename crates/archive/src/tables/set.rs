//! Rows as the bytes of a CSV and of a Parquet file.

use jobs::Moment;
use parquet::basic::{LogicalType, Repetition, TimeUnit, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::sync::Arc;

/// Why a table cannot be made: a mistake in this program.
#[derive(Debug)]
pub(crate) struct Unset(pub(crate) String);

impl From<parquet::errors::ParquetError> for Unset {
    fn from(error: parquet::errors::ParquetError) -> Self {
        Self(error.to_string())
    }
}

impl From<csv::Error> for Unset {
    fn from(error: csv::Error) -> Self {
        Self(error.to_string())
    }
}

/// Of what a column is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Of {
    Text,
    Real,
    Whole,
    Moment,
}

/// What stands in a row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Cell {
    Text(String),
    Real(f64),
    Whole(i64),
    Moment(Moment),
    Nothing,
}

impl Cell {
    pub(crate) fn text(text: impl ToString) -> Self {
        Self::Text(text.to_string())
    }

    pub(crate) fn maybe(number: Option<f64>) -> Self {
        number.map_or(Self::Nothing, Self::Real)
    }

    pub(crate) fn whole(number: impl TryInto<i64>) -> Self {
        number.try_into().map_or(Self::Nothing, Self::Whole)
    }

    /// The shortest words that give the same number again.
    fn words(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Real(number) => format!("{number:?}"),
            Self::Whole(number) => number.to_string(),
            Self::Moment(moment) => moment.to_string(),
            Self::Nothing => String::new(),
        }
    }
}

pub(crate) fn csv(columns: &[(&str, Of)], rows: &[Vec<Cell>]) -> Result<Vec<u8>, Unset> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(columns.iter().map(|(name, _)| name))?;
    for row in rows {
        writer.write_record(row.iter().map(Cell::words))?;
    }
    writer.into_inner().map_err(|error| Unset(error.to_string()))
}

pub(crate) fn parquet(columns: &[(&str, Of)], rows: &[Vec<Cell>]) -> Result<Vec<u8>, Unset> {
    let fields = columns.iter().map(|(name, of)| Ok(Arc::new(field(name, *of)?)));
    let fields = fields.collect::<Result<Vec<_>, Unset>>()?;
    let schema = Type::group_type_builder("table").with_fields(fields).build()?;
    // Statistics and the like are for tables that do not fit into memory.
    let properties = WriterProperties::builder().set_created_by("endshake".into()).build();
    let mut bytes = Vec::new();
    let mut writer = SerializedFileWriter::new(&mut bytes, Arc::new(schema), properties.into())?;
    let mut group = writer.next_row_group()?;
    for (place, (_, of)) in columns.iter().enumerate() {
        let cells = || rows.iter().map(|row| row.get(place).unwrap_or(&Cell::Nothing));
        let there: Vec<i16> = cells().map(|cell| i16::from(*cell != Cell::Nothing)).collect();
        let Some(mut column) = group.next_column()? else { break };
        match of {
            Of::Text => {
                let texts = cells().filter_map(|cell| match cell {
                    Cell::Text(text) => Some(ByteArray::from(text.as_str())),
                    _ => None,
                });
                let texts: Vec<_> = texts.collect();
                column.typed::<ByteArrayType>().write_batch(&texts, Some(&there), None)?;
            }
            Of::Real => {
                let numbers = cells().filter_map(|cell| match cell {
                    Cell::Real(number) => Some(*number),
                    _ => None,
                });
                let numbers: Vec<f64> = numbers.collect();
                column.typed::<DoubleType>().write_batch(&numbers, Some(&there), None)?;
            }
            Of::Whole | Of::Moment => {
                let numbers = cells().filter_map(|cell| match cell {
                    Cell::Whole(number) => Some(*number),
                    Cell::Moment(moment) => Some(moment.ms()),
                    _ => None,
                });
                let numbers: Vec<i64> = numbers.collect();
                column.typed::<Int64Type>().write_batch(&numbers, Some(&there), None)?;
            }
        }
        column.close()?;
    }
    group.close()?;
    writer.close()?;
    Ok(bytes)
}

fn field(name: &str, of: Of) -> Result<Type, Unset> {
    let (physical, logical) = match of {
        Of::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Of::Real => (Physical::DOUBLE, None),
        Of::Whole => (Physical::INT64, None),
        Of::Moment => {
            let of = LogicalType::timestamp(true, TimeUnit::MILLIS);
            (Physical::INT64, Some(of))
        }
    };
    let field = Type::primitive_type_builder(name, physical)
        .with_repetition(Repetition::OPTIONAL)
        .with_logical_type(logical)
        .build()?;
    Ok(field)
}
