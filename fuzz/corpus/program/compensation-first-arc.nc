g0 x5 y0
f9 g42 d1 g3 x0 y4 r4
g3 x-4 y0 j-4
g2 x-4.001 y0.5 i9
m30
