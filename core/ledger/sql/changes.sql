-- What one entry changed: its keys, and those that a withdrawal takes away, before and after it.

-- name: kinds_touched
-- One row is one record kind that the entry, or the entry that it withdraws, holds.
select distinct entry_content.kind
from entry_content
join entry on entry_content.entry_no in (entry.entry_no, entry.withdraws)
where entry.entry_no = $entry_no
order by entry_content.kind;

-- name: entry_changes
-- One row is one key that the entry touched and one value of it that differs; a key that is new,
-- corroborated or removed has one row without a column.
with touched as (
    select written.*
    from {kind} as written
    where written.entry_no = $entry_no
       or written.entry_no in (
           select entry.withdraws from entry where entry.entry_no = $entry_no
       )
    qualify row_number() over (
        partition by
          written.{column}, -- for each key
          true
        order by written.row_no desc, written.sheet
    ) = 1
),
before as (from {kind}($entry_no - 1)),
after as (from {kind}($entry_no)),
compared as (
    select
      concat_ws(
        ' / ',
        touched.{column}::varchar, -- for each key
        null
      ) as key,
      touched.entry_no = $entry_no as own, touched.row_no, touched.sheet,
      before.entry_no is not null as stood, after.entry_no is not null as stands,
      list_filter(
        [
          {'name': '{column}', 'was': before.{column}::varchar, 'became': after.{column}::varchar}, -- for each value
          null
        ],
        lambda one: one is not null and one.was is distinct from one.became
      ) as differing
    from touched
    left join before on
      before.{column} = touched.{column} and -- for each key
      true
    left join after on
      after.{column} = touched.{column} and -- for each key
      true
),
told as (
    select compared.key, compared.row_no, compared.sheet, compared.own,
           case
               when not compared.stands then 'removed'
               when not compared.stood then 'new'
               when len(compared.differing) > 0 then 'changed'
               else 'confirmed by a second source'
           end as change,
           compared.differing
    from compared
),
listed as (
    select told.key, told.change, told.row_no, told.sheet,
           unnest(case when told.change = 'changed' then told.differing else [null] end) as one
    from told
    where told.own or told.change <> 'confirmed by a second source'
)
select '{kind}' as kind, listed.key, listed.change, coalesce(listed.one.name, '') as "column",
       coalesce(listed.one.was, '') as before, coalesce(listed.one.became, '') as after,
       listed.row_no as row, listed.sheet
from listed
order by listed.sheet, listed.row_no, listed.key, listed.one.name;
