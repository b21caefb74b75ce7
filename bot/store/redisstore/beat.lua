-- KEYS: sign, processes. ARGV: process, life in ms. Begins with removals, so that a
-- server out of memory still takes it.
redis.call('DEL', KEYS[1])
redis.call('SET', KEYS[1], '1', 'PX', ARGV[2])
redis.call('HDEL', KEYS[2], ARGV[1])
redis.call('HSET', KEYS[2], ARGV[1], '1')
return 1
