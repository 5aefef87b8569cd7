//! Parquet: the rows of a table that came in, and the rows of an answer that go out.

use std::fs::File;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int32Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::record::{Field, Row};
use parquet::schema::types::Type;

use super::cells::{Line, Unread, With, wrong};
use super::row::{Cell, Kind, columns};

/// Rows that are held until they are written.
const GROUP: usize = 8192;

/// The rows of a file, one by one.
pub(crate) struct Lines {
    /// `None` = a row could not be read: none after it can.
    rows: Option<Box<dyn Iterator<Item = Result<Row, ParquetError>> + Send>>,
    row: u64,
    /// How many there are, as the file says.
    count: u64,
}

/// Opens a table: the names of its columns, and its rows.
pub(crate) fn parquet_file(path: &Path) -> Result<(Vec<String>, Lines), String> {
    let unread =
        |fault: &dyn std::fmt::Display| wrong(&fault.to_string(), "check that it is a whole Parquet file");
    let file = File::open(path).map_err(|e| unread(&e))?;
    let reader = SerializedFileReader::new(file).map_err(|e| unread(&e))?;
    let schema = reader.metadata().file_metadata().schema();
    let mut said = String::new();
    for field in schema.get_fields() {
        if let Some(other) = strange(field) {
            said += &wrong(
                &format!("column {:?} is {other}", field.name()),
                "text is wanted, or a number whose unit stands in the column's name, as in `wheelbase (mm)`",
            );
        }
    }
    if !said.is_empty() {
        return Err(said);
    }
    let names = schema.get_fields().iter().map(|field| field.name().to_owned()).collect();
    let count = u64::try_from(reader.metadata().file_metadata().num_rows()).unwrap_or(0);
    Ok((names, Lines { rows: Some(Box::new(reader.into_iter())), row: 0, count }))
}

/// What a column is, if no cell of a table can come from it.
fn strange(field: &Type) -> Option<String> {
    if field.is_group() {
        return Some("a group of columns".into());
    }
    if field.get_basic_info().has_repetition() && field.get_basic_info().repetition() == Repetition::REPEATED
    {
        return Some("a list".into());
    }
    let text = matches!(field.get_basic_info().logical_type_ref(), Some(LogicalType::String))
        || field.get_basic_info().converted_type() == parquet::basic::ConvertedType::UTF8;
    match field.get_physical_type() {
        Physical::BYTE_ARRAY if text => None,
        Physical::DOUBLE | Physical::FLOAT => None,
        Physical::INT32 | Physical::INT64 if plain_integer(field) => None,
        other => Some(match field.get_basic_info().logical_type_ref() {
            Some(logical) => {
                // Its name, without what belongs to it.
                let name = format!("{logical:?}").to_lowercase();
                format!("of type {}", name.split(|c: char| !c.is_alphanumeric()).next().unwrap_or(&name))
            }
            None => format!("of type {other}"),
        }),
    }
}

/// No date and no time.
fn plain_integer(field: &Type) -> bool {
    use parquet::basic::ConvertedType as C;
    matches!(field.get_basic_info().logical_type_ref(), None | Some(LogicalType::Integer(_)))
        && matches!(
            field.get_basic_info().converted_type(),
            C::NONE
                | C::INT_8
                | C::INT_16
                | C::INT_32
                | C::INT_64
                | C::UINT_8
                | C::UINT_16
                | C::UINT_32
                | C::UINT_64
        )
}

impl Iterator for Lines {
    type Item = Line;

    fn next(&mut self) -> Option<Line> {
        let row = self.rows.as_mut()?.next()?;
        self.row += 1;
        let (cells, with) = match row {
            Ok(row) => {
                let cells = row.into_columns().into_iter().map(|(name, field)| text(&name, field));
                // What is wrong with a cell says what stands there.
                let cells = cells.collect::<Result<_, _>>();
                (cells.map_err(|why: String| Unread { stands: Some(why.clone().into()), why }), With::Nothing)
            }
            Err(e) => {
                self.rows = None;
                let after = self.count.saturating_sub(self.row);
                let help = format!(
                    "neither this row nor any of the {after} after it can be read: write the file anew, uncompressed or as Snappy, \
                     gzip, LZ4 or Zstandard"
                );
                let why = wrong(&e.to_string(), &help);
                (Err(Unread { why, stands: None }), With::Rows(after))
            }
        };
        Some(Line { row: self.row, cells, with })
    }
}

fn text(name: &str, field: Field) -> Result<String, String> {
    Ok(match field {
        Field::Null => String::new(),
        Field::Str(text) => text.trim().to_owned(),
        Field::Byte(v) => v.to_string(),
        Field::Short(v) => v.to_string(),
        Field::Int(v) => v.to_string(),
        Field::Long(v) => v.to_string(),
        Field::UByte(v) => v.to_string(),
        Field::UShort(v) => v.to_string(),
        Field::UInt(v) => v.to_string(),
        Field::ULong(v) => v.to_string(),
        Field::Float(v) => v.to_string(),
        Field::Double(v) => v.to_string(),
        other => {
            return Err(wrong(
                &format!("`{name}`: {other} is no text and no number"),
                "write text or a number",
            ));
        }
    })
}

/// Rows of an answer as a file.
pub(crate) struct Writer<W: Write + Send> {
    file: SerializedFileWriter<W>,
    held: Vec<Vec<Cell>>,
}

fn schema() -> Result<Type, ParquetError> {
    let field = |(name, kind): (String, Kind)| {
        let (physical, logical) = match kind {
            Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
            Kind::Number => (Physical::DOUBLE, None),
            Kind::Count => (Physical::INT32, None),
        };
        Type::primitive_type_builder(&name, physical)
            .with_repetition(Repetition::OPTIONAL)
            .with_logical_type(logical)
            .build()
            .map(Arc::new)
    };
    let fields = columns().into_iter().map(field).collect::<Result<Vec<_>, _>>()?;
    Type::group_type_builder("survey").with_fields(fields).build()
}

impl<W: Write + Send> Writer<W> {
    pub(crate) fn begin(into: W) -> Result<Self, ParquetError> {
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(concat!("standfast ", env!("CARGO_PKG_VERSION")).to_owned())
            .build();
        let file = SerializedFileWriter::new(into, Arc::new(schema()?), Arc::new(properties))?;
        Ok(Self { file, held: vec![] })
    }

    pub(crate) fn row(&mut self, cells: Vec<Cell>) -> Result<(), ParquetError> {
        self.held.push(cells);
        if self.held.len() == GROUP { self.flush() } else { Ok(()) }
    }

    /// One group of rows, column by column.
    fn flush(&mut self) -> Result<(), ParquetError> {
        let rows = std::mem::take(&mut self.held);
        if rows.is_empty() {
            return Ok(());
        }
        let mut group = self.file.next_row_group()?;
        let mut at = 0;
        while let Some(mut column) = group.next_column()? {
            let cells = || rows.iter().map(|row| &row[at]);
            let levels: Vec<i16> = cells().map(|cell| i16::from(*cell != Cell::Nothing)).collect();
            match columns()[at].1 {
                Kind::Text => {
                    let values: Vec<ByteArray> = cells()
                        .filter_map(|cell| match cell {
                            Cell::Text(text) => Some(ByteArray::from(text.as_str())),
                            _ => None,
                        })
                        .collect();
                    column.typed::<ByteArrayType>().write_batch(&values, Some(&levels), None)?;
                }
                Kind::Number => {
                    let values: Vec<f64> = cells()
                        .filter_map(|cell| if let Cell::Number(value) = cell { Some(*value) } else { None })
                        .collect();
                    column.typed::<DoubleType>().write_batch(&values, Some(&levels), None)?;
                }
                Kind::Count => {
                    let values: Vec<i32> = cells()
                        .filter_map(|cell| if let Cell::Count(value) = cell { Some(*value) } else { None })
                        .collect();
                    column.typed::<Int32Type>().write_batch(&values, Some(&levels), None)?;
                }
            }
            column.close()?;
            at += 1;
        }
        group.close()?;
        Ok(())
    }

    /// What is left, and the end of the file.
    pub(crate) fn finish(mut self) -> Result<W, ParquetError> {
        self.flush()?;
        self.file.into_inner()
    }
}
