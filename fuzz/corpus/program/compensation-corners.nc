f9 g91 g42 d2 g1 x10 z-1
z-2
x10 y.001
g93 g1 y9 f3
g94 f9 g2 y-8 x0 j-4 z-1
g3 x0 y0 i9
x5 r-9
g0 x3
g40 g20
g41 d0 y1
x2
g53 x1
g18
m2
