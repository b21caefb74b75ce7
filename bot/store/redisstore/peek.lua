-- KEYS: ready, due, busy of each of some shards. ARGV: now, horizon, limit. Gives the
-- score of a candidate up to which the list is whole, or '', and streams that may have
-- something to claim and since when.
local bound
local out = {''}
local function add(list)
  for _, v in ipairs(list) do out[#out + 1] = v end
  if #list == 2 * ARGV[3] and (not bound or tonumber(list[#list]) < tonumber(bound)) then bound = list[#list] end
end
for i = 1, #KEYS, 3 do
  add(redis.call('ZRANGE', KEYS[i], 0, ARGV[3] - 1, 'WITHSCORES'))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 1], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 2], '-inf', ARGV[1], 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
  add(redis.call('ZRANGEBYSCORE', KEYS[i + 2], '(' .. ARGV[2], '+inf', 'WITHSCORES', 'LIMIT', 0, ARGV[3]))
end
out[1] = bound or ''
return out
