-- Digests over what entries hold. A row's text has each value prefixed by its length; a missing
-- value has a mark of its own, so that no two different rows read the same.

-- name: hashed_text
create temp macro if not exists hashed_text(words) as
case when words is null then '-' else strlen(words) || ':' || words end;

-- name: hashed_integer
create temp macro if not exists hashed_integer(number) as hashed_text(number::varchar);

-- name: hashed_number
create temp macro if not exists hashed_number(number) as hashed_text(format('{:.17g}', number));

-- name: hashed_timestamp
create temp macro if not exists hashed_timestamp(moment) as hashed_text(epoch_us(moment)::varchar);

-- name: hashed_date
create temp macro if not exists hashed_date(day) as hashed_timestamp(day::timestamp);

-- name: digests
-- One row is one entry with the digest of its rows of one record kind over the given columns.
with hashed as (
    select written.entry_no, written.row_no, written.sheet, sha256(concat(
        hashed_integer(written.row_no), hashed_text(written.sheet), hashed_text(source.file),
        hashed_text(source.sheet), hashed_text(written.removed::varchar),
        hashed_{form}(written.{column}), -- for each column
        ''
    )) as digest
    from {kind} as written
    left join source on source.source_no = written.source_no and source.kind = $kind
    where written.entry_no between $first and $last
)
select hashed.entry_no, count(*) as rows,
       sha256(string_agg(hashed.digest, ''
                         order by hashed.row_no, hashed.sheet, hashed.digest)) as digest
from hashed
group by hashed.entry_no
order by hashed.entry_no;

-- name: filled_unhashed
-- One row is one entry with values in columns that its digest does not cover.
select distinct written.entry_no
from {kind} as written
where written.entry_no between $first and $last and (
    written.{column} is not null or -- for each column
    false
)
order by written.entry_no;

-- name: whole_entries
-- One row is one entry with everything its own hash covers apart from its contents.
select entry.entry_no, entry.entered_at, entry.person, entry.act, entry.source, entry.sha256,
       entry.note, entry.withdraws, entry.mapping, entry.program_version, entry.previous_hash,
       entry.hash
from entry
order by entry.entry_no;

-- name: contents
-- One row is what one entry says it holds of one record kind.
select entry_content.entry_no, entry_content.kind, entry_content.columns, entry_content.digest,
       entry_content.rows
from entry_content
order by entry_content.entry_no, entry_content.kind;

-- name: all_settings
-- One row is one recorded text of the settings.
select settings.entry_no, settings.text from settings order by settings.entry_no;

-- name: entries_with_rows
-- One row is one entry number that rows of one record kind carry.
select distinct written.entry_no from {kind} as written order by written.entry_no;

-- name: table_columns
-- One row is one column of one table, as the file has it.
select columns.column_name, columns.data_type
from duckdb_columns() as columns
where columns.table_name = $kind and columns.database_name = current_database()
order by columns.column_index;
