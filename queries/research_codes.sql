-- answers: by which code does an extract call each transport and each patient?
-- grain: one row per transport; HMAC-SHA-256 in its two steps, the first 16 hex digits of it
-- parameters: $inner, $outer (the key in a block of 64 bytes, with each byte of the two pads)
insert into research_codes
select
  transport_id,
  'T' || substr(sha256($outer || unhex(sha256($inner || encode('transport ' || transport_id)))), 1, 16),
  if(patient_key is null, null,
    'P' || substr(sha256($outer || unhex(sha256($inner || encode('patient ' || patient_key)))), 1, 16))
from research
