-- KEYS: ready, due, busy of each of some shards. ARGV: now, horizon, limit. Gives
-- streams that may have something to claim and since when.
local out = {}
local function add(list)
  for _, v in ipairs(list) do out[#out + 1] = v end
end
for i = 1, #KEYS, 3 do
  add(redis.call('ZRANGE', KEYS[i], 0, ARGV[3] - 1, 'WITHSCORES'))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 1], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 2], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 2], '(' .. ARGV[2], '+inf', 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
end
return out
