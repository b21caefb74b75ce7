-- KEYS: ready, due, busy of each of some shards. ARGV: horizon. Gives the time from
-- which a claim may find something, '0' for at once, or nothing.
local next
for i = 1, #KEYS, 3 do
  if redis.call('ZCARD', KEYS[i]) > 0 then return '0' end
  if redis.call('ZCOUNT', KEYS[i + 2], '(' .. ARGV[1], '+inf') > 0 then return '0' end
  for j = i + 1, i + 2 do
    local first = redis.call('ZRANGE', KEYS[j], 0, 0, 'WITHSCORES')[2]
    if first and (not next or tonumber(first) < tonumber(next)) then next = first end
  end
end
return next or ''
