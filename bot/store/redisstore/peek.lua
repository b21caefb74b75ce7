-- KEYS: ready, due, busy of a shard. ARGV: now, horizon, limit. Gives streams that
-- may have something to claim and since when.
local out = {}
local function add(list)
  for _, v in ipairs(list) do out[#out + 1] = v end
end
add(redis.call('ZRANGE', KEYS[1], 0, ARGV[3] - 1, 'WITHSCORES'))
add(redis.call('ZRANGEBYSCORE', KEYS[2], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
add(redis.call('ZRANGEBYSCORE', KEYS[3], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
add(redis.call('ZRANGEBYSCORE', KEYS[3], '(' .. ARGV[2], '+inf', 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
return out
