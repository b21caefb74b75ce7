-- KEYS: ready, due, busy of a shard. ARGV: horizon. Gives the time from which a
-- claim may find something, '0' for at once, or nothing.
if redis.call('ZCARD', KEYS[1]) > 0 then return '0' end
if redis.call('ZCOUNT', KEYS[3], '(' .. ARGV[1], '+inf') > 0 then return '0' end
local first = redis.call('ZRANGE', KEYS[2], 0, 0, 'WITHSCORES')[2]
local other = redis.call('ZRANGE', KEYS[3], 0, 0, 'WITHSCORES')[2]
if not first or (other and tonumber(other) < tonumber(first)) then first = other end
return first or ''
