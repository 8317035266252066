-- Entries: who did what, when, and what each act touched.

-- name: entries
-- One row is one entry as of $as_of, with what it holds and whether it still counts.
with content as (
    select entry_content.entry_no, sum(entry_content.rows)::bigint as rows,
           string_agg(entry_content.kind || ' ' || entry_content.rows, ', '
                      order by entry_content.kind) as contents
    from entry_content
    group by entry_content.entry_no
)
select entry.entry_no, entry.entered_at, entry.person, entry.act, entry.source, entry.sha256,
       entry.note, entry.withdraws,
       entry.entry_no in (from active_entry($as_of)) as active,
       entry.hash, coalesce(content.rows, 0)::bigint as rows,
       coalesce(content.contents, '') as contents, entry.mapping, entry.program_version
from entry
left join content using (entry_no)
where entry.entry_no <= $as_of
order by entry.entry_no;

-- name: last_entry
-- One row: the number and hash of the last entry and when it was entered, or none.
select entry.entry_no, entry.hash, entry.entered_at
from entry
order by entry.entry_no desc
limit 1;

-- name: acts_after
-- One row is one entry after $entry_no that is not the schema's.
select entry.entry_no
from entry
where entry.entry_no > $entry_no and entry.act <> $schema
order by entry.entry_no;

-- name: first_hash
-- One row: the hash of the first entry, which is the ledger's id; none while nothing is recorded.
select entry.hash from entry where entry.entry_no = 1;

-- name: entry_at
-- One row: the last entry entered at or before $moment, 0 when there was none yet.
select coalesce(max(entry.entry_no), 0) as entry_no
from entry
where entry.entered_at <= $moment;

-- name: last_entries
-- One row is one record kind with the newest entry that added to it or withdrew from it, and that
-- entry's hash.
select entry_content.kind, max(entry.entry_no) as entry_no,
       arg_max(entry.hash, entry.entry_no) as hash
from entry_content
join entry on entry_content.entry_no in (entry.entry_no, entry.withdraws)
where entry.entry_no <= $as_of
group by entry_content.kind
order by entry_content.kind;

-- name: settings_text
-- One row: project.toml as the last settings entry recorded it.
select settings.text
from settings
where settings.entry_no <= $as_of
order by settings.entry_no desc
limit 1;

-- name: settings_texts
-- One row is one settings entry with the project.toml that it recorded.
select settings.entry_no, settings.text
from settings
where settings.entry_no <= $as_of
order by settings.entry_no;

-- name: last_written
-- One row is one subject with the last entry that wrote rows of this kind about it, or withdrew
-- such an entry.
select '{kind}' as record, written.{subject} as subject,
       max(greatest(written.entry_no, coalesce(withdrawal.entry_no, 0)))::bigint as entry_no
from {kind} as written
left join entry as withdrawal
  on withdrawal.withdraws = written.entry_no and withdrawal.entry_no <= $as_of
where written.entry_no <= $as_of
group by written.{subject}
order by written.{subject};

-- name: entry_to_withdraw
-- One row: the entry, with its act and the entry that withdrew it, if one did.
select entry.act, withdrawal.entry_no as withdrawn_by
from entry
left join entry as withdrawal on withdrawal.withdraws = entry.entry_no
where entry.entry_no = $entry_no;

-- name: places
-- One row is one asked row that the ledger holds, with the file of its entry.
select distinct asked.place, coalesce(entry.source, 'form') as file
from asked
join entry on entry.entry_no = asked.entry_no
join {kind} as written
  on written.entry_no = asked.entry_no and written.row_no = asked.row_no
  and written.sheet = asked.sheet
order by asked.place;

-- name: attachments
-- One row is one attachment that an entry names.
select distinct entry.sha256 from entry where entry.sha256 is not null order by entry.sha256;

-- name: kept_by
-- One row is one active entry that names an attachment.
select entry.entry_no
from entry
where entry.sha256 = $sha256 and entry.entry_no in (from active_entry($as_of))
order by entry.entry_no;

-- name: add_entry
insert into entry by name
select $entry_no as entry_no, $entered_at::timestamp as entered_at, $person as person,
       $act as act, $source as source, $sha256 as sha256, $note as note,
       $withdraws::bigint as withdraws, $mapping as mapping,
       $program_version as program_version, $previous_hash as previous_hash, $hash as hash;

-- name: add_settings
insert into settings by name select $entry_no as entry_no, $text as text;

-- name: add_content
insert into entry_content by name
select $entry_no as entry_no, $kind as kind, $columns as columns, $digest as digest, $rows as rows;

-- name: add_rows
insert into {kind} by name
select
  written.{column}, -- for each column
  $entry_no as entry_no, written.row_no, written.sheet, known.source_no, written.removed
from written
join source as known on known.kind = $kind and known.file = $file and known.sheet = written.sheet;

-- name: add_sources
-- Every sheet of the file that this record kind hears for the first time gets its number.
insert into source by name
select coalesce((select max(source.source_no) from source), 0)
         + row_number() over (order by heard.sheet) as source_no,
       $kind as kind, $file as file, heard.sheet
from (select distinct written.sheet from written) as heard
anti join source as known
  on known.kind = $kind and known.file = $file and known.sheet = heard.sheet;
