-- What a new frame means against what stands. The frame is registered as `incoming`; rows that the
-- same command staged before, and will write, are in pending_{kind} and count as the last versions.

-- name: pending
-- One row is one row that the command will write.
create or replace temp table pending_{kind} as
select
  written.{column}, -- for each column
  written.entry_no, written.row_no, '' as file, written.sheet, written.removed
from {kind} as written
limit 0;

-- name: version
-- One row is one active version of one key with its file and sheet; '' is a form.
create or replace temp macro {kind}_version(as_of) as table
select
  written.{column}, -- for each column
  written.entry_no, written.row_no, source.file, written.sheet, written.removed
from {kind} as written
join source on source.source_no = written.source_no and source.kind = '{kind}'
where written.entry_no in (from active_entry(as_of))
union all by name
from pending_{kind};

-- name: own_version
-- One row is one file's last active version of one key of one of its sheets.
create or replace temp macro {kind}_own_version(as_of, of_file) as table
select version.*
from {kind}_version(as_of) as version
where version.file = of_file
qualify row_number() over (
    partition by
      version.{column}, -- for each key
      version.sheet
    order by version.entry_no desc, version.row_no desc
) = 1;

-- name: staged
-- One row is one incoming row with its status and the current version of its key.
with last_version as (
    select version.*
    from {kind}_version($as_of) as version
    semi join incoming on
      version.{column} = incoming.{column} and -- for each key
      true
    qualify row_number() over (
        partition by
          version.{column}, -- for each key
          true
        order by version.entry_no desc, version.row_no desc
    ) = 1
),
compared as (
    select
      incoming.incoming_no,
      own_version.entry_no is not null and not own_version.removed as has_own,
      (
        own_version.{column} is not distinct from incoming.{column} and -- for each value
        true
      ) as equals_own,
      last_version.entry_no is not null and not last_version.removed as has_current,
      (
        last_version.{column} is not distinct from incoming.{column} and -- for each value
        true
      ) as equals_standing,
      last_version.file = own_version.file and last_version.sheet = own_version.sheet as own_is_current,
      -- A version of the same command has no entry yet; who saw that one gives 0.
      incoming.wins or coalesce(
        incoming.saw_entry_no
          = case when last_version.entry_no <= $as_of then last_version.entry_no else 0 end,
        false
      ) as was_seen
    from incoming
    left join {kind}_own_version($as_of, $file) as own_version on
      own_version.{column} = incoming.{column} and -- for each key
      own_version.sheet = incoming.sheet
    left join last_version on
      last_version.{column} = incoming.{column} and -- for each key
      true
)
select compared.incoming_no,
       case
           when compared.has_own and compared.equals_own then 'unchanged'
           when compared.has_own and compared.own_is_current then 'superseded'
           when compared.has_current and compared.equals_standing then 'corroborated'
           when not compared.has_own and not compared.has_current then 'added'
           when $replace or compared.was_seen then 'superseded'
           else 'conflict'
       end as status
from compared
order by compared.incoming_no;

-- name: missing_keys
-- One row is one key that this file's earlier active version has and the new frame has not.
select
  own_version.{column}, -- for each key
  own_version.sheet, own_version.entry_no, own_version.row_no
from {kind}_own_version($as_of, $file) as own_version
anti join incoming on
  own_version.{column} = incoming.{column} and -- for each key
  own_version.sheet = incoming.sheet
where not own_version.removed
  and own_version.sheet in (
    select incoming.sheet from incoming
    union all
    select '' where not exists (from incoming)
  )
order by
  own_version.{column}, -- for each key
  own_version.sheet;

-- name: versions_met
-- One row is one incoming row in conflict with the last version of its key.
select
  last_version.{column}, -- for each column
  incoming.incoming_no, last_version.entry_no, last_version.row_no, last_version.file, last_version.sheet,
  last_version.removed
from incoming
join {kind}_version($as_of) as last_version on
  last_version.{column} = incoming.{column} and -- for each key
  true
qualify row_number() over (
    partition by incoming.incoming_no
    order by last_version.entry_no desc, last_version.row_no desc
) = 1
order by incoming.incoming_no;

-- name: without_reference
-- One row is one incoming row whose {parent} neither stands nor comes in the same command.
with last_version as (
    select version.*
    from {parent}_version($as_of) as version
    qualify row_number() over (
        partition by
          version.{column}, -- for each key of the parent
          true
        order by version.entry_no desc, version.row_no desc
    ) = 1
),
current_version as (select * from last_version where not last_version.removed)
select incoming.incoming_no
from incoming
anti join current_version on
  current_version.{column} = incoming.{own} and -- for each shared column
  true
order by incoming.incoming_no;

-- name: make_pending
-- Remembers the rows that the command will write.
insert into pending_{kind} by name
select
  written.{column}, -- for each column
  $entry_no as entry_no, written.row_no, $file as file, written.sheet, written.removed
from written;

-- name: drop_pending
-- Forgets them when their entry is written.
delete from pending_{kind} where pending_{kind}.file = $file;
