g10 l2 p2 x10 y20 z30
g55 g0 x1 y1 z1
g92 x0
g92.2
g92.3
g92.1
g53 g0 x2
g28 z10
g30
g93 f2 g1 x1
g94 f100
g38.2 x9
g20 x1
g61 g64
m6 t1
m98 p1
g41 d1
x1e5
x-#1
